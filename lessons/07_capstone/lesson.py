# %% [markdown] name="title"
# # 07 Capstone
#
# **Question:** Can somebody else build mine from my paper?
#
# Maruk puts a pencil on the table. “You will not be there when they saw,” he says. “So
# the paper must say it all.”
#
# **At the end of this lesson you can**
#
# - turn a need into limits and sizes,
# - promise a time honestly, with a band,
# - show on paper that the gates are closed,
# - say what is worth improving, and review a design.
#
# Time: 3 to 5 hours, in several sittings. Before this: all other lessons.

# %% name="setup"
from autograde import check, numbers, predict
from solarlib import explorers

my = numbers("capstone")
my

# %% [markdown] name="paths"
# Your card belongs to your own need. All ways of working earn full credit.
#
# *Slide:* type into the box under each check. *Tweak:* change the line between the
# quotes. *Code:* calculate with your card. In Python its lengths are in metres, its
# angles in degrees.

# %% [markdown] name="predict_text"
# ## Predict first
#
# You may improve one thing by a tenth. Your guess is kept, and never marked.

# %% predict="capstone.lever"
predict("capstone.lever")

# %% [markdown] name="idea_need"
# ## The idea: from need to limits
#
# A design starts with somebody who needs something: so much water, so warm, by
# such a time. Each wish becomes a limit that can be checked. Then come the
# sizes, and then the doubts.

# %% [markdown] name="idea_gates"
# ### The four gates
#
# Some limits cost marks. Four are **gates**, which stop the whole design:
#
# - always open to the air: from pipe and pot a way out past no valve, cap or trap,
# - beam under control: cover, park position, somebody watching, wood far enough,
# - place and use: not on a roof, not joined to the mains, not for people,
# - stop and delivery: covered at 60 °C at the latest, drawn by ladle or jug.
#
# While one of them is not met, it is called **open**, and nothing else counts for much. (An
# open pipe is good, an open gate is not.)

# %% [markdown] name="worked_need"
# ### Worked number: 5 kg to 50 °C
#
# Another need: 5 kg of water from 18 to 50 °C.
#
# 1. Rise: 50 − 18 = 32 degrees.
# 2. Energy: 5 kg × 4.186 kJ × 32 = 670 kJ.
# 3. In electric units: 670 ÷ 3600 = 0.19 kWh.
#
# 4.186 kJ warm one kilogram of water by one degree (lesson 05).

# %% [markdown] name="ex_energy"
# ## Exercises
#
# ### 1 What the need asks for
#
# **How much energy does your water need?** Pot, pipe and losses come later. Write it like
# `670 kJ` or `0.19 kWh`.

# %% answer="energy"
# Change only the line below, for example: energy = "670 kJ"
### START energy = ""
### BEGIN SOLUTION
energy = f"{my.water_mass * 4.186 * (my.target - my.start):.4g} kJ"
### END SOLUTION

# %% check="capstone.energy" points=2
check("capstone.energy", energy)

# %% [markdown] name="ex_sizes"
# ### 2 Freeze four numbers
#
# The sawyer wants four lengths. Use width and focal length of your card.
#
# First the **depth** of the curve (lesson 01, exercise 1).

# %% answer="depth"
# Change only the line below, for example: depth = "120 mm"
### START depth = ""
### BEGIN SOLUTION
depth = f"{1000 * my.aperture_width**2 / (16 * my.focal_length):.5g} mm"
### END SOLUTION

# %% check="capstone.depth" points=1
check("capstone.depth", depth)

# %% [markdown] name="ex_sheet"
# Now the **sheet**: how wide is the mirror sheet along the curve, rim to rim, without
# trim (lesson 01, exercise 3)? The design board below shows it too.

# %% answer="sheet"
# Change only the line below, for example: sheet = "700 mm"
### START sheet = ""
### BEGIN SOLUTION
from solarlib.geometry import Parabola

trough = Parabola(focal_length=my.focal_length, aperture_width=my.aperture_width)
sheet = f"{1000 * trough.sheet_width:.5g} mm"
### END SOLUTION

# %% check="capstone.sheet" points=1
check("capstone.sheet", sheet)

# %% [markdown] name="ex_bend"
# The **tightest bend**: what is its radius (lesson 01, exercise 5)?

# %% answer="bend"
# Change only the line below, for example: bend = "300 mm"
### START bend = ""
### BEGIN SOLUTION
bend = f"{1000 * 2 * my.focal_length:.5g} mm"
### END SOLUTION

# %% check="capstone.bend" points=1
check("capstone.bend", bend)

# %% [markdown] name="ex_overhang"
# The **overhang**: at the end of the session the sun comes in at the slant of your card.
# How far beyond the mirror does light from the **rim** slide along the pipe?
#
# slide = (rim to line) × tan(slant), and rim to line is f + depth (lesson 02)

# %% answer="overhang"
# Change only the line below, for example: overhang = "200 mm"
### START overhang = ""
### BEGIN SOLUTION
from math import radians, tan

rim_distance = my.focal_length + my.aperture_width**2 / (16 * my.focal_length)
overhang = f"{1000 * rim_distance * tan(radians(my.slant)):.4g} mm"
### END SOLUTION

# %% check="capstone.overhang" points=1
check("capstone.overhang", overhang)

# %% [markdown] name="idea_band"
# ## The idea: a claim needs a band
#
# Sun, mirror and wind differ from day to day. So the course's library throws dice: it
# warms the water on 2000 invented days, each with a trough a little better or worse than
# planned. The **middle** day is quicker than half of them. One in twenty is quicker than
# the **early** edge, one in twenty slower than the **late** edge.
#
# Whoever waits for the water needs the late edge. One number alone is a claim without a
# band.
#
# All these days are clear: under clouds nobody can promise a time. And the hoses are left
# out: bare ones make every time longer (lesson 04).

# %% name="work_out"
from dataclasses import replace

from solarlib.design import demo, evaluate

ladle = replace(demo(), water_mass=5.0, start_c=18.0, target_c=50.0)
band = evaluate(ladle).band
print(f"5 kg to 50 °C, middle day: {band.median / 60:.0f} min")
print(f"early: {band.soonest / 60:.0f} min, late: {band.latest / 60:.0f} min")

# %% [markdown] name="ex_band"
# ### 3 How long does it take?
#
# The cell above asks for 5 kg and 50 °C. Ask for *your* water and target with the Ladle's
# mirror. *Slide:* type both into the boxes under the check, and press “Work out the
# times”. *Tweak:* change the two numbers in the marked line and run the cell. Three times
# appear, in no special order. **Which one is the middle day?** Give it as your answer.

# %% answer="middle"
### START water, target = 0, 0  # change this line to your kilograms and °C, and run the cell
### BEGIN SOLUTION
water, target = my.water_mass, my.target
### END SOLUTION
if water:
    mine = replace(demo(), water_mass=water, start_c=my.start, target_c=target)
    my_band = evaluate(mine).band
    times = (my_band.latest, my_band.soonest, my_band.median)
    print(*(f"{time / 60:.1f} min" for time in times), sep=", ")
### START middle = ""  # then this one, for example: middle = "60 min"
### BEGIN SOLUTION
middle = f"{my_band.median / 60:.4g} min"
### END SOLUTION

# %% check="capstone.middle" points=1
check("capstone.middle", middle)

# %% [markdown] name="ex_early"
# Now the **early** edge, from the same three times.

# %% answer="early"
# Change only the line below, for example: early = "60 min"
### START early = ""
### BEGIN SOLUTION
early = f"{my_band.soonest / 60:.4g} min"
### END SOLUTION

# %% check="capstone.early" points=1
check("capstone.early", early)

# %% [markdown] name="ex_late"
# And the **late** edge: the one you promise.

# %% answer="late"
# Change only the line below, for example: late = "60 min"
### START late = ""
### BEGIN SOLUTION
late = f"{my_band.latest / 60:.4g} min"
### END SOLUTION

# %% check="capstone.late" points=1
check("capstone.late", late)

# %% [markdown] name="ex_vent"
# ### 4 Out into the air
#
# Steam and air go up. A hose that dips holds water like a sink's trap. So the way rises
# all along, from pipe to open pot.
#
# Pim describes four ways of joining them. **In which one can steam from pipe *and* pot
# always get out?**
#
# - a: pipe, hose up to the pot, tight lid with a relief valve
# - b: pipe, hose up to the pot, lid with a gap that cannot shut
# - c: pipe, hose over a low loop, then up to the pot with a gap under the lid
# - d: pipe, tap that stays open, hose up to the pot with a gap under the lid

# %% answer="vent"
### START vent = ""
### BEGIN SOLUTION
vent = "b"
### END SOLUTION

# %% check="capstone.vent" points=1
check("capstone.vent", vent)

# %% [markdown] name="ex_joints"
# ### 5 Joints and room to grow
#
# A pipe of 1.4 m grows by 2 mm up to 95 °C, and by 6 mm when it is dry in still air. So
# one end is fixed and the other slides, with room to spare.
#
# The Ladle's joints are soft-soldered. Its pipe, dry in full sun, gets hotter than that
# solder melts. **What must the paper say?**
#
# - a: joints in the light, because they never run dry
# - b: joints out of the light, so no rule is needed
# - c: joints beyond the sliding light, and a written rule against a dry pipe

# %% answer="joints"
### START joints = ""
### BEGIN SOLUTION
joints = "c"
### END SOLUTION

# %% check="capstone.joints" points=1
check("capstone.joints", joints)

# %% [markdown] name="explore_text"
# ## Explore: what matters most
#
# The library moves each input by a tenth and tells what that does to the time. Look for
# three bars: the mirror in use, the surface error, the wind. Then make it windy.

# %% explorer="what_matters_most"
explorers.explore_what_matters_most(predict("capstone.lever"))

# %% [markdown] name="levers_after"
# **Did you see it?** A mirror that sends back a tenth more light saves 6 minutes of 57. A
# curve finer by a tenth saves less than one. And a neglected mirror that sends back only 65 %
# needs 75 minutes. So keep it clean, and stop polishing ribs.
#
# A tenth of the wind does little too. But wind does not change by tenths: from calm to a
# breeze of 3 m/s the time goes from 52 to 60 minutes. A hedge or a board beside the trough
# costs nothing.

# %% [markdown] name="ex_lever"
# ### 6 The biggest lever
#
# **Which of the four would save the Ladle most time?**
#
# - a: surface error a tenth smaller
# - b: reflectance in use a tenth higher (a clean mirror)
# - c: a tenth less wind at the pipe
# - d: a pot with a tenth less heat capacity

# %% answer="biggest_lever"
### START biggest_lever = ""
### BEGIN SOLUTION
biggest_lever = "b"
### END SOLUTION

# %% check="capstone.biggest_lever" points=1
check("capstone.biggest_lever", biggest_lever)

# %% [markdown] name="board_text"
# ## Explore: the design board
#
# Start from the Ladle: open it to 900 mm and compare with your guess. Every change shows
# the checked items again: met, not met, or not known, each with a reason. Make one fail
# on purpose, read what would help, and mend it.

# %% explorer="design_board"
explorers.explore_design_board(predict("capstone.wider"))

# %% [markdown] name="idea_rubric"
# ## Your design file
#
# The design board below belongs to a file of yours. Its sizes start from the Ladle's. What
# decides a hazard is not stated yet: you state it, and a button leads to each place. Type any
# unit, such as `22 mm` or `7/8 in`. A wrong entry gets a sentence, and nothing is written
# before you press **Save**. **What would help?** tries changes for you. **Hand in this
# design** checks the saved file as exercise 7 does, as often as you like.
#
# You may also write the file in a text editor: `ladle.toml` beside this notebook is the
# Ladle with every entry. Here and on paper it is the same file.

# %% name="design_form"
from functools import partial

from autograde.check import answer

explorers.design_form("my-trough.toml", hand_in=partial(answer, "capstone.design_file"))

# %% [markdown] name="marking_text"
# ## How it is marked
#
# Fourteen criteria are worked out afresh from your inputs. Each tells why points were
# lost. While a gate is open the grade stays at 59 % or below. You may hand in again; each
# criterion keeps its best score.

# %% [markdown] name="rubric_table"
# ### What is marked
#
# - **8 points** each: R1 geometry, R2 ribs, R3 sheet and bend, R4 light caught, R6 heat
#   balance, R7 warm-up with band, R8 pipe, supports, joints.
# - **10 points:** R5 aim and calendar.
# - **6 points** each: R9 open system, R10 beam under control, R11 wind and stow, R12 print,
#   R13 ready for a test.
# - **4 points:** R14 hazard card.
#
# 90 of the 100 points come from the machine, 10 from a person.

# %% [markdown] name="ex_design"
# ### 7 Hand in your design
#
# Press **Hand in this design** on your design board. Or write the name of your file, such as
# `my-trough.toml`, between the quotes, or paste its text into the box. In a class the file
# that you name counts; when you name none, what you checked last.

# %% answer="design_file"
from pathlib import Path

# Change only the line below to the name of your file
### START name = ""
### BEGIN SOLUTION
name = "ladle.toml"
### END SOLUTION
design_file = Path(name).read_text(encoding="utf-8-sig") if name else ""

# %% check="capstone.design_file" points=20
check("capstone.design_file", design_file)

# %% [markdown] name="ex_review"
# ### 8 Swap review
#
# Swap paper with a partner. Build their template from cardboard without asking anything.
# **Report three points that were not clear:** first, second, third. A teacher or your
# partner reads it.

# %% answer="review"
### START review = ""
### BEGIN SOLUTION
review = """First, the template does not say which side is up.
Second, the height of the pot above the pipe is missing.
Third, nobody is named who checks the water before uncovering."""
### END SOLUTION

# %% check="capstone.review" points=2
check("capstone.review", review)

# %% [markdown] name="hands_on"
# ## Hands-on (no sun)
#
# The **build pack** is everything on paper: templates, cut list, calendar, cards. Press
# **Write the build pack** on your design board. Or in a terminal, in the folder where you
# opened the course, type `python3 -m solarlib pack` and the way to your design file.
#
# 1. Print only the pages that page 1 names, at actual size. Measure both bars and write the
#    lengths into your design, group *paper*. A new pack says where the pipe goes.
# 2. Tape the pages, cross on cross; cut one rib from cardboard.
# 3. Check it against a steel rule: the depth, and five points of the rib table.
# 4. Write into the change log what you changed, and why.

# %% [markdown] name="safety"
# ## Safety
#
# > A pass here is a tidy paper design: “checked items complete”. It is not a permission to
# > build.
# >
# > A build is supervised by an adult who knows the tools. Local codes and your school's
# > own risk assessment come first. Hot joints, gas, mains water, roofs and electrical work
# > belong to licensed people.
# >
# > Cover the mirror whenever nobody is watching. The pipe is always open to the air. The
# > water is for cleaning only, and is drained the same day.

# %% [markdown] name="key_points"
# ## Key points
#
# - A need becomes limits; limits become sizes.
# - Promise the late edge of the band, not the middle.
# - Gates first: an open gate outweighs every mark.
# - Clean beats fine: spend effort where the bar is long.
# - If a stranger can build it, the paper is finished.
#
# **Words.** *Gate*: a limit that must be met before anything counts. *Band*: where nine of
# ten clear days lie. *Lever*: an input that moves the result. *Build pack*: all the paper that
# somebody else needs.

# %% [markdown]
# More words: [glossary](glossary.md).
