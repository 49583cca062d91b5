# %% [markdown]
# # 03 Sun
#
# **Question:** Where do I point it, and when do I touch it again?
#
# The Ladle lies with its long axis from east to west. Dessa sets its tilt on
# Saturday at noon and goes for lunch. Will it still be right when she comes back?
# And next Saturday?
#
# **At the end of this lesson you can**
#
# - find the noon tilt for any date, north and south,
# - turn solar noon into clock time,
# - split an aim budget,
# - explain the two clocks, and the light off the end.
#
# Time: 90 minutes, then outdoors. Before this: lesson 02.

# %%
from autograde import check, numbers, outdoors, predict
from solarlib import explorers, geometry, optics, sun, units

my = numbers("sun")
my

# %% [markdown]
# Your card belongs to your own place. All ways of working earn full credit.
#
# *Slide:* type into the box under each check. *Tweak:* change the line between the
# quotes. *Code:* calculate with your card. In Python its angles are in degrees, its
# times in seconds, its lengths in metres.

# %% [markdown]
# ## Predict first
#
# Think of a trough that is aimed well at noon. Then nobody touches it. Your guess
# opens the sliders further down.

# %% predict="sun.left_alone"
predict("sun.left_alone")

# %% [markdown]
# ## The idea: where the sun goes
#
# Does the sun rise due east every day? No: only near 20 March and 23 September, the
# **equinoxes**. In June it rises north of east, in December south of east. North of
# the tropics it never stands straight overhead.
#
# Seasons do **not** come from the distance to the sun. The Earth's axis leans by
# 23.4°, so in June the northern half leans towards the sun.
#
# The **declination** says how far north of the equator the sun stands: +23.4° on 21
# June, 0° at the equinoxes, −23.4° on 21 December. June and December are the
# **solstices**.

# %%
for day in ("2026-03-20", "2026-06-21", "2026-12-21"):
    print(day, sun.day_in_words(38.0, sun.declination_deg(day)))

# %% [markdown]
# ### From the sky to the tilt
#
# Outside the tropics the noon sun stands on the side of the equator. **Tilt** is how far
# the trough leans from looking straight up:
#
# noon tilt = latitude − declination
#
# **Worked number.** A town at 50° north, on 10 May: the declination is about +17.7°.
# 50 − 17.7 = 32.3°, leaning to the south. The sun's *height* is 90 − 32.3 = 57.7°.
#
# South of the equator everything is turned round. Count the latitude there without
# its sign and turn the sign of the declination: summer is in December.

# %% [markdown]
# ## Exercises, first part
#
# ### 1 June
#
# **What is the noon tilt at your latitude on 21 June?**

# %% answer="june_tilt"
### START june_tilt = ""
### BEGIN SOLUTION
june_tilt = f"{my.latitude - 23.44:.2f} deg"
### END SOLUTION

# %% check="sun.june_tilt" points=2
check("sun.june_tilt", june_tilt)

# %% [markdown]
# ### 2 Tarrowin Spit
#
# The second site of this course lies far in the south. Its latitude is on your card.
# **What is the noon tilt there on 21 December?** And **which way** does the trough
# lean?
#
# - a: to the north
# - b: to the south
# - c: to the east
# - d: it stays level

# %% answer="southern_tilt"
### START southern_tilt = ""
### BEGIN SOLUTION
southern_tilt = f"{my.south_latitude - 23.44:.2f} deg"
### END SOLUTION

# %% check="sun.southern_tilt" points=2
check("sun.southern_tilt", southern_tilt)

# %% answer="southern_direction"
### START southern_direction = ""
### BEGIN SOLUTION
southern_direction = "a"
### END SOLUTION

# %% check="sun.southern_direction" points=1
check("sun.southern_direction", southern_direction)

# %% [markdown]
# ## The idea: your clock is not a sundial
#
# **Solar noon** is when the sun is highest. Two things move it away from 12:00.
#
# - **Place.** A zone's clock fits one line only, its *meridian*. The Earth turns 1° in
#   4 minutes. Each degree **west** of the line makes noon 4 minutes **later**.
# - **Date.** The Earth does not run evenly. In mid-October a sundial is a quarter of an
#   hour **ahead** of the clock, so its noon comes **earlier**.
#
# noon on the clock = 12:00 + 4 min × degrees west − sundial ahead
#
# In summer time add one hour at the end.

# %% [markdown]
# ### 3 Solar noon
#
# It is an autumn day. Your card says how far west of your meridian you are, and how far
# the sundial is ahead. **What does a clock on standard time show at solar noon?**
# Write it like `12:30`.

# %% answer="solar_noon"
### START solar_noon = ""
### BEGIN SOLUTION
minutes = 4 * my.west_of_meridian - my.sundial_ahead / 60
solar_noon = units.show(720 + minutes, "clock")
### END SOLUTION

# %% check="sun.solar_noon" points=2
check("sun.solar_noon", solar_noon)

# %% [markdown]
# ## Explore: tilt through a day and a year
#
# At the left you see the trough from the side. The two curves at the right show how
# far the sun has left the trough: through the day, and through the year. Start at the
# equinox and drag the **clock**. Then go to June and do it again. At last leave the
# clock at noon and drag the **date**.

# %% explorer="tilt_through_day"
explorers.explore_tilt_through_day(question=predict("sun.left_alone"))

# %% [markdown]
# **Did you see it?** In March the curve is flat all day: the trough may stay alone. In
# June and December it is a steep U. The date does the opposite: in March the noon sun
# moves almost 0.4° a day, in June it hardly moves at all.
#
# Why? At the equinox the sun's daily path runs exactly along your east-west axis. In
# June it rises and sets far to the north, so it swings across the trough.
#
# These are **two clocks**, and they run opposite ways.

# %%
for words, dec in (("equinox", 0.0), ("solstice", 23.44)):
    for hours in (1, 2, 3):
        drift = abs(sun.east_west_drift_deg(dec, 15 * hours))
        print(f"{words}, {hours} h from noon: {drift:.1f}° off")
for day in ("2026-03-21", "2026-06-21"):
    print(f"from {day}: {sun.days_until_drift(day, 1.0):.0f} days until noon is 1° off")

# %% [markdown]
# ## Exercises, second part
#
# ### 4 Days in March
#
# You can bear the move of the noon tilt that is on your card. **How many days after 21
# March must you set the trough again?** Near the equinox the noon tilt moves almost
# 0.4° a day. Write a number of days, like `12 d`.

# %% answer="days_to_move"
### START days_to_move = ""
### BEGIN SOLUTION
days_to_move = f"{my.noon_move / 0.394:.1f} d"
### END SOLUTION

# %% check="sun.days_to_move" points=2
check("sun.days_to_move", days_to_move)

# %% [markdown]
# ### 5 The aim budget
#
# In lesson 02 you saw how much aim error the pipe forgives. Spend it like money: this is
# your **aim budget**. One share goes to the date, because you do not set the trough every
# day. One goes to setting by hand. What is left is for the sun's drift during the
# session.
#
# **How much is left for the session?** All three numbers are on your card.

# %% answer="session_share"
### START session_share = ""
### BEGIN SOLUTION
session_share = f"{my.aim_total - my.date_share - my.setting_share:.2f} deg"
### END SOLUTION

# %% check="sun.session_share" points=1
check("sun.session_share", session_share)

# %% [markdown]
# ### 6 A session in June
#
# Set the trough not at the noon sun but half-way towards where the sun will go. Then it
# may swing through **twice** your share A. With the declination d = 23.4° it reaches the
# end of that swing at the hour angle w:
#
# cos w = tan d ÷ tan(d + 2A)
#
# The **hour angle** counts 15° for each hour from noon, so 1° is 4 minutes. **How many
# minutes does the session last on each side of noon?** Your own A from exercise 5
# counts.

# %% answer="session_minutes"
### START session_minutes = ""
### BEGIN SOLUTION
from math import acos, degrees, radians, tan

left = my.aim_total - my.date_share - my.setting_share
hour_angle = degrees(acos(tan(radians(23.44)) / tan(radians(23.44 + 2 * left))))
session_minutes = f"{4 * hour_angle:.1f} min"
### END SOLUTION

# %% check="sun.session_minutes" points=2
check("sun.session_minutes", session_minutes)

# %% [markdown]
# ### 7 Within one day
#
# On which day can you leave the trough alone longest **within the day**?
#
# - a: at the equinox, about 20 March
# - b: at midsummer, 21 June
# - c: at midwinter, 21 December
# - d: it makes no difference

# %% answer="longest_day"
### START longest_day = ""
### BEGIN SOLUTION
longest_day = "a"
### END SOLUTION

# %% check="sun.longest_day" points=1
check("sun.longest_day", longest_day)

# %% [markdown]
# ### The year's settings
#
# How often must somebody touch the tilt in a year? At 38° north, the Ladle needs **43**
# settings if the noon aim may be 1° off, 83 if only half a degree, 29 if one and a half. In
# March a setting lasts days, in June weeks. The build pack of lesson 07 prints the calendar
# for your own place and year.
#
# Two things spoil every setting: an axis that is not level, and one that is not east-west.
# Check both first.

# %% [markdown]
# ## Explore: light off the end
#
# Off noon the light comes in at a slant along the trough, and the bright line slides
# along the pipe. Two things get lost: the opening looks shorter to the sun (the
# **cosine**), and some light passes the pipe's end. Guess first; then move the hours and
# turn the axis a little.

# %% explorer="light_off_the_end"
explorers.explore_light_off_the_end(question=predict("sun.slides"))

# %% [markdown]
# **Did you see it?** Two hours from noon a quarter of the light is gone. A longer trough
# loses the same strip of light, which is a smaller share of it. And an axis that points
# only 5° wrong drives the trough out of its budget within the hour.
#
# What passes the end does not vanish. It lands on fittings and hose. So let the pipe
# stick out at both ends, and keep joints, hose and wood out of that stretch.

# %%
from math import cos, radians

ladle = geometry.Parabola(focal_length=0.170, aperture_width=0.640)
for length in (0.9, 1.8):
    left = optics.end_effect(ladle, 0.022, length, incidence_deg=30) * cos(radians(30))
    print(f"{length} m long, no overhang, 2 h from noon: {units.show(left, '%', 2)} left")
reach = optics.overhang_needed(ladle, 30)
print(f"the bright line reaches {units.show(reach, 'mm', 3)} past the mirror's end")
turned = abs(sun.axis_drift_deg(38.0, 0.0, 15.0, axis_turned_deg=5))
print(f"axis 5° wrong, equinox, 1 h from noon: {turned:.1f}° off")
mine = geometry.Parabola(my.focal_length, my.aperture_width)
mean = mine.mean_focal_distance - 0.011
print(f"YOUR trough, mean distance from mirror to pipe: {units.show(mean, 'mm', 4)}")

# %% [markdown]
# ## Exercises, third part
#
# ### 8 Past the end
#
# It is the equinox, two hours from noon. The light slants by 30°. Your pipe ends where
# the mirror ends (length on your card). The last line of the cell above gives the mean
# distance from your mirror to the skin of a 22 mm pipe.
#
# slide = mean distance × tan 30°
#
# **What share of the light passes the pipe's end?** Write `20 %` or `0.20`.

# %% answer="past_end"
### START past_end = ""
### BEGIN SOLUTION
from math import radians, tan

mean_path = my.focal_length + my.aperture_width**2 / (48 * my.focal_length) - 0.011
past_end = f"{mean_path * tan(radians(30)) / my.trough_length:.4f}"
### END SOLUTION

# %% check="sun.past_end" points=2
check("sun.past_end", past_end)

# %% [markdown]
# ### 9 The declination of any date
#
# Write `declination(date)` in degrees. The first lines find the sun's **longitude**: how
# far it has come on its yearly path. Then
#
# sin(declination) = sin(lean) × sin(longitude)
#
# with the lean of the Earth's axis. *Slide* and *Tweak:* change only the marked line.
# *Code:* write it anew. A popular one-line formula is up to 1.2° wrong; it earns half.
#
# (Formula: low-precision one of the Astronomical Almanac.)

# %% answer="declination"
import datetime
from math import asin, degrees, radians, sin


def declination(date):
    days = (date - datetime.date(2000, 1, 1)).days
    g = radians(357.529 + 0.98560028 * days)
    degrees_along = 280.459 + 0.98564736 * days + 1.915 * sin(g) + 0.020 * sin(2 * g)
    longitude, lean = radians(degrees_along), radians(23.439)
    ### START height = longitude  # change only this line
    ### BEGIN SOLUTION
    height = asin(sin(lean) * sin(longitude))
    ### END SOLUTION
    return degrees(height)


# %% check="sun.declination" points=3
check("sun.declination", declination)

# %% [markdown]
# ### 10 The tilt at any hour
#
# Off noon, the declination in the noon rule is replaced by the **swing**:
#
# swing = atan2(sin d, cos d · cos w)
#
# d is the declination, w the hour angle. `atan2(y, x)` is an arctangent that also knows
# front from back. Write `tilt_needed(lat, dec, hour_angle)`, all in degrees, counted
# towards the equator. South of the equator lat is negative.
#
# *Slide* and *Tweak:* change only the marked line. *Code:* write it anew.

# %% answer="tilt_needed"
from math import atan2, copysign, cos, degrees, radians, sin


def tilt_needed(lat, dec, hour_angle):
    d, w = radians(dec), radians(hour_angle)
    ### START swing = dec  # right at noon only; change only this line
    ### BEGIN SOLUTION
    swing = degrees(atan2(sin(d), cos(d) * cos(w)))
    ### END SOLUTION
    return abs(lat) - copysign(1, lat) * swing


# %% check="sun.tilt_needed" points=3
check("sun.tilt_needed", tilt_needed)

# %% [markdown]
# ### 11 The two clocks
#
# Dessa asks: “When do I have to touch the trough again?” **Answer her for March and for
# June,** in two or three sentences, and say what to do. A person reads and marks them;
# the check only tells which points it sees.

# %% write="two_clocks" points=2
# Near the equinox in March the date matters and the hour does not: set it again every
# few days, then leave it all day. Near the solstice in June the hour matters and the
# date does not: the setting holds for weeks, but you touch it during the day.

# %% check="sun.two_clocks"
check("sun.two_clocks")

# %% [markdown]
# ## Hands-on: the shadow stick
#
# A straight stick and its shadow find the north-south line. The steps below unfold when
# the four rules (lesson 00) are complete, or when the adult in charge has signed.
#
# A compass shows *magnetic* north, which can be many degrees off. Lay the trough's axis
# square to your line, and put a level on its long edge: it must not lean to one end.

# %% name="outdoors"
outdoors(
    "Stand a straight stick upright on level ground, on a sheet of card.",
    "From 10:30 to 13:30 mark the tip of its shadow every 10 minutes, with the time. (In "
    "summer time: 11:30 to 14:30. Far west in your zone start later: your solar noon must "
    "lie well inside.)",
    "The shortest shadow points along the north-south line, at solar noon. Surer: take two "
    "shadows of equal length and halve the angle between them.",
    "Compare with a compass, with your phone and with your answer to exercise 3.",
    first=("start.rules",),
)

# %% [markdown]
# ### The aim pin
#
# Set a nail square on a small board, 100 mm high above it. Draw rings round it: one
# degree is about 1.7 mm. Fix the board parallel to the trough's opening. At noon a good aim
# leaves the pin without a shadow. At other hours the shadow lies **along** the trough; what
# reaches across it is the error. The **shadow** tells you; you never look at the sun.

# %% [markdown]
# ## Safety
#
# > Use **shadows only**. Never look at the sun, never sight along a stick, a pin or a
# > mirror towards it. The trough stays covered in this lesson.
# >
# > Outdoors: hat, sun cream, water, shade. Watch the road and the wall behind you while
# > you step back.
# >
# > An adult is in charge; school and local rules come first. Roofs and ladders are not
# > part of this course. A right answer here is a finished exercise, not a permission to
# > build.

# %% [markdown]
# ## Key points
#
# - noon tilt = latitude − declination, towards the equator.
# - Noon is later in the west, and shifts with the date. A compass is not true north.
# - Equinox: the date matters, the hour does not. Solstice: the other way round.
# - Errors of aim add up. Spend them as a budget.
# - Off noon the bright line slides past the end.
#
# **Words.** *Declination*: how far north of the equator the sun stands. *Equinox*: day and
# night are equal. *Solstice*: longest or shortest day. *Meridian*: a line from pole to
# pole. *Hour angle*: 15° for each hour from noon. *Overhang*: pipe beyond the mirror.

# %% [markdown]
# Books call the sundial's lead the *equation of time*, and the slant of the light the
# *incidence angle*. More words: [glossary](glossary.md). Next: [04 Heat
# loss](04_heat_loss.ipynb).
