# %% [markdown] name="title"
# # 05 Heating test
#
# **Question:** Did it work, and how sure am I?
#
# Ilvane reads 47 °C and is happy. Dessa asks: "Plus or minus what?" Pim keeps
# the log, and every row of it.
#
# After this lesson you can
#
# - run and log a fair test,
# - work out power and efficiency, with an uncertainty,
# - compare a measurement with a predicted band,
# - find optical efficiency and loss in a log.
#
# Time: 90 minutes, and 2 hours outdoors with an adult in charge.

# %% name="setup"
from autograde import check, numbers, predict
from solarlib import explorers

my = numbers("heating_test")
my

# %% [markdown] name="paths"
# ## How to work here
#
# - **Slide**: use the sliders and type your answer into the form.
# - **Tweak**: change the one marked line in the answer cell.
# - **Code**: write your own lines there.
#
# All three give full credit. Write the unit behind the number; a decimal comma
# is fine.

# %% [markdown] name="predict_text"
# ## Predict
#
# Efficiency needs a thermometer, a scale and a sun meter. Which of them spoils
# the result most?

# %% predict="heating_test.weak_part"
predict("heating_test.weak_part")

# %% [markdown] name="idea_power"
# ## The idea: the water is the meter
#
# Warming 1 kg of water by 1 K takes 4186 J. So the water itself tells how much
# heat came in:
#
# $$P = \frac{m \cdot 4186 \cdot (T_2 - T_1)}{t} \qquad
#   \eta = \frac{P}{G \cdot A}$$
#
# *P* is the power in watts, *t* the time in **seconds**, *G* the sun, *A* the
# flat opening. *η* (eta) is the efficiency: the share of the light on the
# opening that ends up in the water.

# %% [markdown] name="worked"
# ### A worked number
#
# 5.0 kg of water warm from 20.0 to 26.0 °C in 10 minutes. The sun is 800 W/m²,
# the opening 0.50 m².
#
# 1. Rise: 6.0 K. Heat: 5.0 × 4186 × 6.0 = 125 580 J.
# 2. Time: 600 s. Power: 209 W.
# 3. Light on the opening: 800 × 0.50 = 400 W. Efficiency: 0.52.
#
# Ask each time: is that possible from half a square metre?

# %% [markdown] name="ex_power"
# ## Exercises
#
# ### 05.1 Power into the water
#
# Take water, temperatures and time from your card. How many watts went into
# the water? (Count the water only, not the pot.)

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
# ### 05.2 Efficiency
#
# What share of the light on your opening went into the water? Use the sun,
# width and length of your card.

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
# A reading without a ± says less than you think. A kitchen thermometer is good
# to about 0.5 °C (from memory), a scale to 0.5 %, a sun meter to 5 to 20 %
# (common practice, no source).
#
# Independent parts rarely all go wrong the same way. So they combine like the
# sides of a right angle:
#
# $$u = \sqrt{u_1^2 + u_2^2 + u_3^2}$$

# %% [markdown] name="ex_combined"
# ### 05.3 How sure is the result?
#
# Your card has three uncertainties: the rise, mass and area, the sun meter.
# Combine them.

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
# Make the thermometer better. Then the sun meter. Then run the test for longer.

# %% explorer="better_instrument"
explorers.explore_better_instrument(predict("heating_test.weak_part"))

# %% [markdown] name="explore_buy_after"
# The slice of the thermometer is small already. The money belongs into the sun
# meter, and the cheapest improvement of all is a longer run: a larger rise makes
# the same half degree count less.

# %% [markdown] name="ex_agree"
# ### 05.4 Does it agree?
#
# The design predicted 43 to 58 °C after one hour. You measured 47 ± 1 °C.

# %% answer="agree"
### START agree = ""
### BEGIN SOLUTION
agree = "a"
### END SOLUTION

# %% check="heating_test.agree" points=1
check("heating_test.agree", agree)

# %% [markdown] name="ex_agree_why"
# ### 05.5 In your own words
#
# Why does it agree, and how much does that prove? Two sentences are enough. A
# person reads this.

# %% answer="agree_why"
### START agree_why = ""
### BEGIN SOLUTION
agree_why = "46 to 48 lies inside the band. The band is wide, so that proves little."
### END SOLUTION

# %% check="heating_test.agree_why" points=1
check("heating_test.agree_why", agree_why)

# %% [markdown] name="ex_intervals"
# ### 05.6 Power of every interval
#
# A log is a list of rows `(minutes, temperature, unit)`, the unit "C" or "F". A
# missing temperature is `None`. Write `interval_powers(rows, mass_kg)`: a list
# with the power of each interval in watts, and `None` where one of its two
# temperatures is missing.
#
# *Tweak:* change only the marked line.

# %% answer="interval_powers"
def celsius(value, unit):
    return (value - 32) / 1.8 if unit == "F" else value


def interval_powers(rows, mass_kg):
    powers = []
    for (t1, a, unit_a), (t2, b, unit_b) in zip(rows, rows[1:]):
        if a is None or b is None:
            powers.append(None)
        else:
            ### START powers.append(mass_kg * 4186 * (b - a) / (t2 - t1))  # change only this line
            ### BEGIN SOLUTION
            rise = celsius(b, unit_b) - celsius(a, unit_a)
            powers.append(mass_kg * 4186 * rise / (60 * (t2 - t1)))
            ### END SOLUTION
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
for reading in log.readings:
    print(reading.row, round(reading.water_c, 1), reading.sun, reading.remark)

# %% [markdown] name="ex_suspects"
# ### 05.7 Two suspect rows
#
# Which two rows of the file would you not trust? (The file has clock times in
# its first column.)

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
explorers.explore_fit_by_hand(predict("heating_test.weak_part"))

# %% [markdown] name="explore_fit_after"
# With 20 minutes of data many pairs fit. A better mirror with more loss looks
# just like a worse mirror with less. Only the late, hot part of the test pins the
# loss down. So do not stop early because "it is clear already".

# %% [markdown] name="ex_slope"
# ### 05.8 The loss from the file
#
# Plot efficiency upward against (water − air) ÷ sun to the right, without the
# two suspect rows. The points lie on a falling line. How large is its slope?
#
# The next cell does the fit for you; read the loss and type it in.

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
# ### 05.9 The optical efficiency from the file
#
# Where does the line meet zero difference between water and air?

# %% answer="optical"
### START optical = ""
### BEGIN SOLUTION
optical = f"{fit.optical_efficiency:.4g}"
### END SOLUTION

# %% check="heating_test.optical" points=1
check("heating_test.optical", optical)

# %% [markdown] name="ex_own"
# ### 05.10 Your own file
#
# After the test outdoors: read your CSV. Put the file beside this notebook and
# write its name, or paste its text into the form. A header with units is enough:
# `time (min), water (°C), air (°C), wind (m/s), sun (W/m2), remark`. A decimal
# comma, semicolons, °F and clock times are fine.

# %% answer="own_file"
from pathlib import Path

# Change only the line below to the name of your file
### START name = ""
### BEGIN SOLUTION
name = "demo_log.csv"
### END SOLUTION
own_file = Path(name).read_text(encoding="utf-8-sig") if name else ""

# %% check="heating_test.own_file" points=2
check("heating_test.own_file", own_file)

# %% [markdown] name="hands_on"
# ## Hands-on: the real test
#
# At least 90 minutes round solar noon, two people, an adult in charge.
#
# 1. Weigh the water. Measure the opening with a tape.
# 2. Every 5 minutes: time, water (stir first), air in the shade, wind, sun, what
#    the sky looks like. Write every reading down, also the odd ones.
# 3. Stop at 60 °C or at the first hiss. Then cover, turn, wait, drain.
#
# **Cloudy day:** an electric heater of known power in the pot is your "sun".
# Nobody leaves it alone, and the plug stays dry.

# %% [markdown] name="safety"
# ## Safety box
#
# - Cover the mirror before you touch anything, stir or fill.
# - Pipe and pot stay open to the air. Keep faces away from the vent.
# - Never look into the mirror or at the pipe from inside the beam.
# - The adult in charge signs for the day. Local rules come first.
# - The water is for cleaning only. Drain it the same day.
# - A right answer here is no permission to build or to run a trough.

# %% [markdown] name="key_points"
# ## Key points
#
# - The water is the meter: mass × 4186 × rise ÷ seconds.
# - Divide by the light on the **opening**.
# - Independent uncertainties combine as the root of the sum of squares.
# - Inside a wide band proves little.
# - The hot end of the test tells the loss. Nothing is left out silently.
#
# **New words.** *Efficiency*: useful share of what came in. *Uncertainty*: how far
# the true value may lie from the reading. *Fit*: the line that lies closest to all
# points.
#
# Next: [06 Burns and other hazards](06_hazards.ipynb).
