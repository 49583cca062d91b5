# %% [markdown] name="title"
# # 07 Capstone
#
# **Question:** Can somebody else build mine from my paper?
#
# Maruk puts a pencil on the table. "You will not be there when they saw," he
# says. "So the paper must say it all."
#
# After this lesson you can
#
# - turn a need into limits and sizes,
# - promise a time honestly, with a band,
# - show on paper that the gates are closed,
# - say what is worth improving, and review a design.
#
# Time: 3 to 5 hours, in several sittings.

# %% name="setup"
from autograde import check, numbers, predict
from solarlib import explorers

my = numbers("capstone")
my

# %% [markdown] name="paths"
# ## How to work here
#
# Pick a path for each exercise. All three give full credit.
#
# - **Slide**: read the number off, then type it into the form under the
#   exercise.
# - **Tweak**: change the one marked line in the answer cell.
# - **Code**: compute the answer in the answer cell with your own lines.
#
# A comma works as a decimal point. Write the unit behind the number.

# %% [markdown] name="predict_text"
# ## Predict
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
#
# Some limits cost marks. Four are **gates**: always open to the air, beam under
# control, place and use, stop and delivery. While a gate is open, nothing else
# counts for much.

# %% [markdown] name="worked_need"
# ### A worked number: 5 kg to 50 °C
#
# Another need: 5 kg of water from 18 to 50 °C.
#
# 1. Rise: 50 − 18 = 32 degrees.
# 2. Energy: 5 kg × 4.186 kJ × 32 = 670 kJ.
# 3. In electric units: 670 ÷ 3600 = 0.19 kWh.

# %% [markdown] name="ex_energy"
# ## Exercises
#
# ### 07.1 What the need asks for
#
# How much energy does your water need? Pot, pipe and losses come later.

# %% answer="energy"
# Change only the line below, for example: energy = "670 kJ"
### START energy = ""
### BEGIN SOLUTION
energy = f"{my.water_mass * 4.186 * (my.target - my.start):.4g} kJ"
### END SOLUTION

# %% check="capstone.energy" points=2
check("capstone.energy", energy)

# %% [markdown] name="ex_sizes"
# ### 07.2 Freeze four numbers
#
# The sawyer wants four lengths. Use width and focal length of your card.
#
# First the **depth** of the curve.

# %% answer="depth"
# Change only the line below, for example: depth = "120 mm"
### START depth = ""
### BEGIN SOLUTION
depth = f"{1000 * my.aperture_width**2 / (16 * my.focal_length):.5g} mm"
### END SOLUTION

# %% check="capstone.depth" points=1
check("capstone.depth", depth)

# %% [markdown] name="ex_sheet"
# Now the **sheet**: how wide is the mirror sheet along the curve, rim to rim,
# without trim?

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
# The **tightest bend**: what is its radius?

# %% answer="bend"
# Change only the line below, for example: bend = "300 mm"
### START bend = ""
### BEGIN SOLUTION
bend = f"{1000 * 2 * my.focal_length:.5g} mm"
### END SOLUTION

# %% check="capstone.bend" points=1
check("capstone.bend", bend)

# %% [markdown] name="ex_overhang"
# The **overhang**: at the end of the session the sun comes in at the slant of
# your card. How far beyond the mirror does light from the rim slide along the
# pipe?

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
# Sun, mirror and wind differ from day to day. So the library throws dice: it
# warms the water on 2000 invented days. The **middle** day is quicker than half
# of them. One day in twenty is quicker than the **early** edge, one in twenty
# slower than the **late** edge.
#
# Whoever waits for the water needs the late edge. One number alone is a claim
# without a band.

# %% name="work_out"
from dataclasses import replace

from solarlib.design import demo, evaluate

ladle = replace(demo(), water_mass=5.0, start_c=18.0, target_c=50.0)
band = evaluate(ladle).band
print(f"5 kg to 50 °C: middle {band.median / 60:.0f} min, "
      f"early {band.soonest / 60:.0f} min, late {band.latest / 60:.0f} min")  # fmt: skip

# %% [markdown] name="ex_band"
# ### 07.3 How long does it take?
#
# The cell above asks for 5 kg and 50 °C. Ask for *your* water and target with
# the Ladle's mirror: copy its lines into the answer cell and change two numbers.
#
# First the **middle** day.

# %% answer="middle"
# Change only the line below, for example: middle = "60 min"
### START middle = ""
### BEGIN SOLUTION
mine = replace(demo(), water_mass=my.water_mass, start_c=my.start, target_c=my.target)
my_band = evaluate(mine).band
middle = f"{my_band.median / 60:.4g} min"
### END SOLUTION

# %% check="capstone.middle" points=1
check("capstone.middle", middle)

# %% [markdown] name="ex_early"
# Now an **early** day.

# %% answer="early"
# Change only the line below, for example: early = "60 min"
### START early = ""
### BEGIN SOLUTION
early = f"{my_band.soonest / 60:.4g} min"
### END SOLUTION

# %% check="capstone.early" points=1
check("capstone.early", early)

# %% [markdown] name="ex_late"
# And a **late** day: the one you promise.

# %% answer="late"
# Change only the line below, for example: late = "60 min"
### START late = ""
### BEGIN SOLUTION
late = f"{my_band.latest / 60:.4g} min"
### END SOLUTION

# %% check="capstone.late" points=1
check("capstone.late", late)

# %% [markdown] name="ex_vent"
# ### 07.4 Two gates
#
# Pim drew four sketches of pipe and pot. In which one can steam from pipe *and*
# pot always get out?

# %% answer="vent"
### START vent = ""
### BEGIN SOLUTION
vent = "b"
### END SOLUTION

# %% check="capstone.vent" points=1
check("capstone.vent", vent)

# %% [markdown] name="ex_joints"
# The Ladle's joints are soft-soldered. Its pipe, dry in full sun, gets hotter
# than that solder melts. What must the paper say?

# %% answer="joints"
### START joints = ""
### BEGIN SOLUTION
joints = "c"
### END SOLUTION

# %% check="capstone.joints" points=1
check("capstone.joints", joints)

# %% [markdown] name="explore_text"
# ## What matters most
#
# The library moves each input by a tenth and tells what that does to the time.
# Look for three bars: the mirror in use, the surface error, the wind.

# %% explorer="what_matters_most"
explorers.explore_what_matters_most(predict("capstone.lever"))

# %% [markdown] name="ex_lever"
# ### 07.5 The biggest lever
#
# Which of the four would save the Ladle most time?

# %% answer="biggest_lever"
### START biggest_lever = ""
### BEGIN SOLUTION
biggest_lever = "b"
### END SOLUTION

# %% check="capstone.biggest_lever" points=1
check("capstone.biggest_lever", biggest_lever)

# %% [markdown] name="board_text"
# ## The design board
#
# Start from the Ladle and make it yours. Every change shows the checked items
# again: met, not met, or not known, each with a reason. Make one fail on purpose,
# read what would help, and mend it.

# %% explorer="design_board"
explorers.explore_design_board(predict("capstone.lever"))

# %% [markdown] name="idea_rubric"
# ## Your design file
#
# Beside this notebook lies `ladle.toml`, the Ladle with every input. Copy it to
# a new name, open it in a text editor and make it yours: place, need, sizes,
# plumbing, rules.
#
# Fourteen criteria are worked out afresh from your inputs. Each tells why points
# were lost. While a gate is open the grade stays at 59 % or below. You may hand
# in again; each criterion keeps its best score.

# %% [markdown] name="ex_design"
# ### Hand in your design

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
# ### 07.6 Swap review
#
# Swap paper with a partner. Build their template from cardboard without asking
# anything. Report three points that were not clear: first, second, third. A
# teacher or your partner reads it.

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
# 1. Print the rib template at actual size. Measure both bars and write the
#    lengths into your design file.
# 2. Tape the pages and cut one rib from cardboard.
# 3. Check it against a steel rule: the depth, and three points of the table.
# 4. Write down what you changed, and why.

# %% [markdown] name="safety"
# ## Safety box
#
# - A pass here is a tidy paper design: "checked items complete". It is not a
#   permission to build.
# - A build is supervised by an adult who knows the tools. Local codes and your
#   school's own risk assessment come first.
# - Hot joints, gas and mains water are work for licensed people.
# - The water is for cleaning only. Drain it the same day.

# %% [markdown] name="key_points"
# ## Key points
#
# - A need becomes limits; limits become sizes.
# - Promise the late edge of the band, not the middle.
# - Gates first: an open gate outweighs every mark.
# - Clean beats fine: spend effort where the bar is long.
# - If a stranger can build it, the paper is finished.
#
# **New words.** *Gate*: a limit that must be met before anything counts. *Band*:
# where nine of ten days lie. *Lever*: an input that moves the result.
