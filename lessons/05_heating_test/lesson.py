# %% [markdown] name="title"
# # 05 Heating test
#
# **Question:** Did it work, and how sure am I?
#
# Ilvane reads 47 °C and is happy. “Plus or minus what?” asks Dessa. Pim keeps the
# log, and every row of it.
#
# **At the end of this lesson you can**
#
# - run and log a fair test,
# - work out power and efficiency, with an uncertainty,
# - compare a measurement with a predicted band,
# - find optical efficiency and loss in a log.
#
# Time: 90 minutes, and 2 hours outdoors with an adult in charge. Before this: lesson 04;
# before you go outdoors: lesson 06.

# %% name="setup"
from autograde import check, numbers, outdoors, predict
from solarlib import explorers

my = numbers("heating_test")
my

# %% [markdown] name="paths"
# Your card belongs to your own test. All ways of working earn full credit.
#
# *Slide:* type into the box under each check. *Tweak:* change the line between the
# quotes. *Code:* calculate with your card. In Python its times are in seconds, its
# lengths in metres, its shares between 0 and 1. A decimal comma is fine.

# %% [markdown] name="predict_text"
# ## Predict first
#
# Efficiency needs a thermometer, a scale and a sun meter. Which of them spoils
# the result most?

# %% predict="heating_test.weak_part"
predict("heating_test.weak_part")

# %% [markdown] name="idea_power"
# ## The idea: the water is the meter
#
# Warming 1 kg of water by 1 kelvin (one degree of difference) takes 4186 joules. So the
# water itself tells how much heat came in:
#
# power = mass × 4186 × rise ÷ time
#
# The **rise** is the end temperature minus the start. The time is in **seconds**, because
# a watt is a joule each second. Then compare with what the sun sent:
#
# efficiency = power ÷ (sun × opening)
#
# The **efficiency** is the share of the light on the flat opening that ends up in the
# water.

# %% [markdown] name="worked"
# ### Worked number
#
# 5.0 kg of water warm from 20.0 to 26.0 °C in 10 minutes. The sun is 800 W/m²,
# the opening 0.50 m².
#
# 1. Rise: 6.0 K. Heat: 5.0 × 4186 × 6.0 = 125 580 J.
# 2. Time: 600 s. Power: 209 W.
# 3. Light on the opening: 800 × 0.50 = 400 W. Efficiency: 0.52.
#
# Ask each time: is that possible? On a clear day half a square metre gets 400 to 500 W,
# and no heater gives more than it gets.

# %% [markdown] name="ex_power"
# ## Exercises
#
# ### 1 Power into the water
#
# Take water, temperatures and time from your card. **How many watts went into the
# water?** Count the water only, not the pot.

# %% answer="power"
# Change only the line below, for example: power = "120 W"
### START power = ""
### BEGIN SOLUTION
heat = my.water_mass * 4186 * (my.end_temp - my.start_temp)
power = f"{heat / my.minutes:.5g} W"  # the card keeps times in seconds
### END SOLUTION

# %% check="heating_test.power" points=2
check("heating_test.power", power)

# %% [markdown] name="ex_efficiency"
# ### 2 Efficiency
#
# **What share of the light on your opening went into the water?** Use the sun, width and
# length of your card. Write `40 %` or `0.40`. Your own power from exercise 1 counts.

# %% answer="efficiency"
# Change only the line below, for example: efficiency = "0.42" or "42 %"
### START efficiency = ""
### BEGIN SOLUTION
light = my.sunshine * my.aperture_width * my.trough_length
efficiency = f"{heat / my.minutes / light:.4g}"
### END SOLUTION

# %% check="heating_test.efficiency" points=2
check("heating_test.efficiency", efficiency)

# %% [markdown] name="idea_unsure"
# ## The idea: every number has a plus-minus
#
# Read the same thermometer ten times and you get a small **range**, not one number. Its
# half width is the **uncertainty**, written with ±. It is not a mistake. It tells how far
# to trust a reading. (A fault that all ten share does not show: a wrong thermometer is wrong
# every time.)
#
# Parts that have nothing to do with each other rarely go wrong the same way at once. So
# they do not simply add up. Square each, add the squares, take the root:
#
# all together = √(first² + second² + third²)
#
# 3 % and 4 % make √(9 + 16) = 5 %, not 7 %.

# %% [markdown] name="instruments"
# ### What people really have
#
# | what | with what | about ± |
# |---|---|---|
# | water | kitchen thermometer, stirred | 0.5 °C |
# | water | not stirred | 1–2 °C |
# | mass | scale; jug | 0.5 %; 2–3 % |
# | opening | tape | 1 % |
# | sun | clear-sky table, blue day | 15–20 % |
# | sun | phone light sensor | 10 % |
# | sun | borrowed sun meter, shading disc | 5 % |
#
# From memory or common practice, no source. Use the **same** thermometer at start and
# end: what it reads too high then drops out.

# %% [markdown] name="ex_combined"
# ### 3 How sure is the result?
#
# Your card has three uncertainties: the rise, mass and area, the sun meter. **Combine
# them.** Write it like `9 %`.

# %% answer="combined"
# Change only the line below, for example: combined = "15 %"
### START combined = ""
### BEGIN SOLUTION
combined = f"{100 * (my.unsure_rise**2 + my.unsure_mass**2 + my.unsure_sun**2) ** 0.5:.4g} %"
### END SOLUTION

# %% check="heating_test.combined" points=2
check("heating_test.combined", combined)

# %% [markdown] name="explore_buy"
# ## Explore: buy a better instrument
#
# Make the thermometer better. Then the sun meter. Then make the run short, and long.
# Which move shrinks the whole?

# %% explorer="better_instrument"
explorers.explore_better_instrument(predict("heating_test.weak_part"))

# %% [markdown] name="explore_buy_after"
# **Did you see it?** After half an hour the thermometer's slice is small already: the
# money belongs into the sun meter. Only a short run makes the thermometer count. So let it
# run, that costs nothing: over a rise of 20 degrees the same half degree counts a quarter
# of what it counts over 5.

# %% [markdown] name="ex_agree"
# ### 4 Does it agree?
#
# For a day with some haze a design predicted 43 to 58 °C after one hour. The pot then
# measured 47 ± 1 °C. **What do you say?**
#
# - a: it agrees: 47 ± 1 °C lies inside the band
# - b: it disagrees: the middle of the band is 51 °C
# - c: it agrees perfectly, so the model is proved
# - d: nobody can say: a single reading is the truth

# %% answer="agree"
### START agree = ""
### BEGIN SOLUTION
agree = "a"
### END SOLUTION

# %% check="heating_test.agree" points=1
check("heating_test.agree", agree)

# %% [markdown] name="ex_agree_why"
# ### 5 In your own words
#
# **Why do you say so, and how much does it prove?** Two sentences are enough. A person
# reads them; the check only tells which key points it sees.

# %% answer="agree_why"
### START agree_why = ""
### BEGIN SOLUTION
agree_why = "46 to 48 lies inside the band. The band is wide, so that proves little."
### END SOLUTION

# %% check="heating_test.agree_why" points=1
check("heating_test.agree_why", agree_why)

# %% [markdown] name="ex_intervals"
# ### 6 Power of every interval
#
# A log is a list of rows `(minutes, temperature, unit)`, the unit "C" or "F". A
# missing temperature is `None`. Write `interval_powers(rows, mass_kg)`: a list
# with the power of each interval in watts, and `None` where one of its two
# temperatures is missing.
#
# *Slide* and *Tweak:* change only the marked line. Three things are wrong with it: the
# unit of time, and what it does with °F, twice. `celsius(…)` above it helps.
# *Code:* write it anew.

# %% answer="interval_powers"
def celsius(value, unit):
    return (value - 32) / 1.8 if unit == "F" else value


def interval_powers(rows, mass_kg):
    powers = []
    for (t1, a, unit_a), (t2, b, unit_b) in zip(rows, rows[1:]):
        if a is None or b is None:
            powers.append(None)
        else:
            ### START power = mass_kg * 4186 * (b - a) / (t2 - t1)  # change only this line
            ### BEGIN SOLUTION
            rise = celsius(b, unit_b) - celsius(a, unit_a)
            power = mass_kg * 4186 * rise / (60 * (t2 - t1))
            ### END SOLUTION
            powers.append(power)
    return powers

# %% check="heating_test.interval_powers" points=3
check("heating_test.interval_powers", interval_powers)

# %% [markdown] name="file_text"
# ## A file to practise on
#
# `demo_log.csv` lies beside this notebook. It is **simulated with noise**, and its
# first line says so: nobody measured it. The course reads it and names every
# problem by its row.

# %% name="read_file"
from solarlib import heating_test

log = heating_test.read_log("demo_log.csv")
for problem in log.problems:
    print(f"row {problem.row}: {problem.says}")
print(log)  # water in °C, sun in W/m²

# %% [markdown] name="ex_suspects"
# ### 7 Two suspect rows
#
# The file has clock times in its first column. **Which two rows would you not trust?**
#
# - a: 11:40, because it is in °F
# - b: 11:55, the sun reads 360
# - c: 12:15, the water reads 52.3
# - d: 12:35, because the water rises less than at the start

# %% answer="suspects"
# Letters with a comma, like "a, d"
### START suspects = ""
### BEGIN SOLUTION
suspects = "b, c"
### END SOLUTION

# %% check="heating_test.suspects" points=1
check("heating_test.suspects", suspects)

# %% [markdown] name="explore_fit_text"
# ## Explore: fit it by hand
#
# Lay the curve through the points with two sliders: optical efficiency and
# loss. First look at the first 20 minutes only.

# %% explorer="fit_by_hand"
explorers.explore_fit_by_hand(predict("heating_test.first_minutes"))

# %% [markdown] name="explore_fit_after"
# **Did you see it?** With 20 minutes of data many pairs fit. A better mirror with more loss
# looks just like a worse mirror with less. Only the late, hot part of the test pins the
# loss down. So do not stop early because “it is clear already”.

# %% [markdown] name="ex_slope"
# ### 8 The loss from the file
#
# Draw each interval as a point: its efficiency upward, (water − air) ÷ sun to the right.
# Leave the two suspect rows out, and say so. The points lie along a falling line: the
# hotter the water, the less is left.
#
# How steeply it falls is the **loss** of the whole heater, in W/(m²·K): watts for each
# square metre of opening and each degree. Where it starts, at no difference, is the
# **optical efficiency**: what the water would get if nothing were lost.
#
# The next cell lays the line. **How large is the loss?** Write it like `5 W/m2K`.

# %% name="fit_file"
without = {p.row for p in heating_test.suspects(log)}
fit = heating_test.fit_losses(heating_test.intervals(log, without=without))
print(fit)

# %% answer="loss_slope"
# Change only the line below, for example: loss_slope = "5 W/m2K"
### START loss_slope = ""
### BEGIN SOLUTION
loss_slope = f"{fit.loss:.4g} W/m2K"
### END SOLUTION

# %% check="heating_test.loss_slope" points=2
check("heating_test.loss_slope", loss_slope)

# %% [markdown] name="ex_optical"
# ### 9 The optical efficiency from the file
#
# **Where does the line start,** with no difference between water and air? Read it in the
# same output.

# %% answer="optical"
### START optical = ""
### BEGIN SOLUTION
optical = f"{fit.optical_efficiency:.4g}"
### END SOLUTION

# %% check="heating_test.optical" points=1
check("heating_test.optical", optical)

# %% [markdown] name="ex_own"
# ### 10 Your own file
#
# After the test outdoors: read your **CSV**, a table saved as plain text; every spreadsheet
# can save one. Press **Choose your file** in the form, or
# put the file beside this notebook and write its name. Every odd row is named; your
# file is never changed. A header with units is enough:
# `time (min), water (°C), air (°C), wind (m/s), sun (W/m2), remark`. A decimal
# comma, semicolons, °F and clock times are fine.

# %% answer="own_file"
from solarlib import heating_test

# Change only the line below to the name of your file
### START name = ""
### BEGIN SOLUTION
name = "demo_log.csv"
### END SOLUTION
own_file = heating_test.read_text(name) if name else ""

# %% check="heating_test.own_file" points=2
check("heating_test.own_file", own_file)

# %% [markdown] name="hands_on"
# ## Hands-on: the real test
#
# At least 90 minutes round solar noon, two people, an adult in charge. The steps
# below unfold when the four rules (lesson 00) and lesson 06 are complete, or when
# the adult in charge has signed. The build pack of lesson 07 has a sheet for the log.
#
# **Cloudy day:** an electric heater of known power in the pot is your “sun”. It is earthed,
# behind an RCD (also called GFCI), and under water before an adult switches it on. Nobody
# leaves it alone, and the plug stays dry.

# %% name="outdoors"
outdoors(
    "Weigh the water. Measure the opening with a tape.",
    "Every 5 minutes: cover on, stir, read, cover off. Note time, water, air in the shade, "
    "wind, sun, the sky, and how long the cover was on. Write down every reading, also odd ones.",
    "Clouds: note when each one came and went. Such an interval tells about the cloud.",
    "Stop at 60 °C or at the first hiss. Then cover, turn, wait, drain.",
    first=("start.rules", "hazards"),
)

# %% [markdown] name="safety"
# ## Safety
#
# > Cover the mirror before you touch anything, stir or fill. Never look into the mirror or
# > at the bright line on the pipe.
# >
# > Pipe and pot stay open to the air. Faces stay away from the vent. Never let the pipe run
# > dry. Above 8 m/s of wind (common practice), or when nobody can watch, cover and stow it.
# >
# > The water is for cleaning only, and is drained the same day.
# >
# > The adult in charge signs for the day; school and local rules come first. A right
# > answer here is a finished exercise, not a permission to build or to run a trough.

# %% [markdown] name="key_points"
# ## Key points
#
# - The water is the meter: mass × 4186 × rise ÷ seconds.
# - Divide by the light on the **opening**.
# - Independent uncertainties combine as the root of the sum of squares.
# - Inside a wide band proves little.
# - The hot end of the test tells the loss. Nothing is left out silently.
#
# **Words.** *Rise*: end temperature minus start. *Efficiency*: useful share of what came
# in. *Uncertainty*: how far the true value may be from the reading. *Band*: lowest to
# highest value expected. *Fit*: the line closest to all points. *Optical efficiency*: the
# share that would arrive without losses.

# %% [markdown]
# More words: [glossary](glossary.md). Next: [06 Burns and other
# hazards](06_hazards.ipynb).
