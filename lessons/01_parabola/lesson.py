# %% [markdown]
# # 01 Parabola
#
# **Question:** What curve do I cut, and what sheet do I buy?
#
# Ilvane has plywood for four ribs and a pencil. “Give me the curve,” she says,
# “and I will cut it.” In five minutes you can.
#
# **At the end of this lesson you can**
#
# - use y = x²/(4f), measured from the centre line,
# - find the focal length of a rib that somebody else cut,
# - order the right width of sheet and check that it bends,
# - spot a wrong printout before the saw does.
#
# Time: 75 minutes. Before this: lesson 00.

# %%
from autograde import check, numbers, predict
from solarlib import explorers, geometry, units

my = numbers("parabola")
my

# %% [markdown]
# Your card belongs to your own trough. Write lengths in any unit: `98.4 mm`,
# `9,84 cm` or `3 7/8 in`. A decimal comma is fine.
#
# *Slide:* type into the box under each check. *Tweak:* change the line between the
# quotes. *Code:* calculate with your card. Lengths on it are in metres in Python,
# and `units.show(0.0984, "mm")` writes `98.4 mm` for you.

# %% [markdown]
# ## Predict first
#
# Three curves look alike: a parabola, a part of a circle, and a chain hanging
# between two nails. Your guess opens the sliders further down.

# %% predict="parabola.which_curve"
predict("parabola.which_curve")

# %% [markdown]
# ## The idea: one curve, one focus
#
# Light comes down in parallel rays. Each ray leaves the mirror at the angle at
# which it came, like a ball off a wall. Only one curve sends *all* these rays
# through the same point: the **parabola**
#
# y = x² / (4f)
#
# - x: distance from the **centre line**, to the left or to the right
# - y: height above the lowest point, the **vertex**
# - f: **focal length**, from the vertex up to the focus
#
# The rays meet at the focus. The *normals*, the lines square to the mirror, do
# not. Along a trough the focus becomes a line, and there the pipe goes.

# %% [markdown]
# ### Worked number
#
# A small trough is 400 mm wide and has f = 100 mm. How deep is it?
#
# 1. The edge is half the width from the centre line: x = 400 / 2 = 200 mm.
# 2. Square it: 200² = 40 000 mm².
# 3. Divide by 4f = 400 mm: y = 40 000 / 400 = 100 mm.
#
# Two people with the same formula get different ribs when one starts at the edge.
# Start at the middle.

# %% [markdown]
# ## Explore: curve and focus
#
# Change the width and the focal length. Then change the shape. Where does the
# circle stop working? Compare the sheet with the opening too.

# %% explorer="curve_and_focus"
explorers.explore_curve_and_focus(question=predict("parabola.which_curve"))

# %% [markdown]
# **Did you see it?** A circle with the same bend is good while the trough is shallow: up
# to about 250 mm of opening it still meets a 22 mm pipe. At 640 mm its outer strips miss
# by far. The chain fails later, but it fails too.
#
# And the sheet is wider than the opening: for the Ladle by 13 %. If you buy it as wide as
# the opening, it is 85 mm short.

# %% [markdown]
# ### Deep or flat?
#
# - **Flat** (long f): the pipe stands free above the rim and is easy to touch. The light
#   travels far, so small faults of the curve cost more.
# - **Deep** (short f): the pipe lies inside the trough. The sheet bends more tightly, and
#   you need more of it.
#
# The **rim angle** tells how deep: stand at the focus, look down at the vertex and turn to
# the rim. 60° to 100° is a good range (common practice). The Ladle has 86.5°. At 90° the
# focus is level with the rim, and f is a quarter of the width.

# %% [markdown]
# ## Exercises
#
# ### 1 How deep is your rib?
#
# Use the width of your opening and your focal length. Mark the **depth**, from
# the lowest point up to the rim. Half a millimetre counts here: that is the
# width of a pencil line (common practice).

# %% answer="depth"
### START depth = ""
### BEGIN SOLUTION
depth = units.show((my.aperture_width / 2) ** 2 / (4 * my.focal_length), "mm", 5)
### END SOLUTION

# %% check="parabola.depth" points=2
check("parabola.depth", depth)

# %% [markdown]
# ### 2 The old rib
#
# Ilvane finds an old rib behind the bench. Its width and depth are on your card.
# **What is its focal length?** Turn the formula round: f = x² / (4y).

# %% answer="old_focal_length"
### START old_focal_length = ""
### BEGIN SOLUTION
old_focal_length = units.show((my.old_width / 2) ** 2 / (4 * my.old_depth), "mm", 5)
### END SOLUTION

# %% check="parabola.old_focal_length" points=2
check("parabola.old_focal_length", old_focal_length)

# %% [markdown]
# ### 3 The sheet
#
# The mirror lies **along** the curve, so it is wider than the opening. The exact
# width is
#
# sheet = 2f · (u · √(1 + u²) + asinh u), with u = W/(4f)
#
# where W is the width of your opening. On a calculator asinh is often called
# sinh⁻¹. The explorer above shows the value too. **How wide must your sheet be,**
# before any trim is added?

# %% answer="sheet"
### START sheet = ""
### BEGIN SOLUTION
sheet = units.show(geometry.Parabola(my.focal_length, my.aperture_width).sheet_width, "mm", 5)
### END SOLUTION

# %% check="parabola.sheet" points=2
check("parabola.sheet", sheet)

# %% [markdown]
# ### 4 A rule for every rib
#
# Write `rib_height(x_mm, f_mm)`: the height in millimetres at any distance from
# the centre line. It must also work left of the centre (x below zero) and for a
# whole **list** of distances.
#
# *Slide:* type the rule into the box, lists then work by themselves. *Tweak:*
# change only the marked line; `x` there is an array, a list that can calculate.

# %% answer="rib_height"
import numpy as np


def rib_height(x_mm, f_mm):
    x = np.asarray(x_mm, dtype=float)
    ### START height = x / (4 * f_mm)  # change only this line
    ### BEGIN SOLUTION
    height = x**2 / (4 * f_mm)
    ### END SOLUTION
    return height

# %% check="parabola.rib_height" points=3
check("parabola.rib_height", rib_height)

# %% [markdown]
# ### 5 Will it bend?
#
# A plastic sheet bent too tightly cracks, often months later. The tightest bend
# is at the vertex. Its radius there is 2f. A maker says: the radius must be at
# least so many times the thickness as your card tells.
#
# **What is the thickest sheet you may bend** to your curve?

# %% answer="thickest"
### START thickest = ""
### BEGIN SOLUTION
thickest = units.show(2 * my.focal_length / my.bend_limit, "mm")
### END SOLUTION

# %% check="parabola.thickest" points=2
check("parabola.thickest", thickest)

# %% [markdown]
# ## Explore: the printer trap
#
# Ilvane prints the curve at full size and glues it on plywood. Printers like to
# shrink a page. Before you move the sliders, guess which fault is worse. Your
# guess unlocks them.

# %% explorer="printer_trap"
explorers.explore_printer_trap(question=predict("parabola.which_fault"))

# %% [markdown]
# **Did you see it?** Width counts twice, height once and the other way. Prints that are 3 %
# small both ways move the focus by 5 mm: left where it is, the Ladle's pipe still catches
# 97 %. If only the width shrank, it moves 10 mm, and the pipe catches 81 %.
#
# One bar cannot tell the two apart. So measure **both** bars, on every page: a rib of
# several pages adds up each bad joint.
#
# Is the rib cut already? Do not throw it away. Work out its real focal length and move the
# pipe there.

# %% [markdown]
# ### 6 The bar is short
#
# The 200 mm bar on the printout measures 194 mm. **What now?**
#
# - a: print again at actual size, then measure both bars
# - b: draw the pencil line 3 % bigger all round
# - c: cut it; the pipe can move to wherever the focus went

# %% answer="short_bar"
### START short_bar = ""
### BEGIN SOLUTION
short_bar = "a"
### END SOLUTION

# %% check="parabola.short_bar" points=1
check("parabola.short_bar", short_bar)

# %% [markdown]
# ### 7 Right across, wrong down
#
# Another print has the right width, but its heights came out as your card says
# (100 % would be right). Every x stays, every y is multiplied. **What focal length
# does this rib really have?** Think first: is it flatter or steeper, and where do
# flatter curves focus?

# %% answer="printed_focal_length"
### START printed_focal_length = ""
### BEGIN SOLUTION
printed_focal_length = units.show(my.focal_length / my.height_scale, "mm", 5)
### END SOLUTION

# %% check="parabola.printed_focal_length" points=2
check("parabola.printed_focal_length", printed_focal_length)

# %% [markdown]
# ### 8 In your own words
#
# Four ribs carry one mirror. **Why must all ribs share the same centre line *and*
# the same focus mark?** Write two or three sentences below. A person reads and
# marks them; the check after it only tells which key points it sees.

# %% write="why_datum" points=2
# If the ribs do not share one centre line, the trough is twisted: each rib
# throws its light to another place. With one focus mark the focal points lie on
# one straight line, and there the pipe goes. A common line to measure from, the
# datum, keeps small errors from adding up.

# %% check="parabola.why_datum"
check("parabola.why_datum")

# %% [markdown]
# ## Workshop notes: from paper to wood
#
# (All common practice.)
#
# - Make one master rib from hardboard. Put packing tape under the paper, so that it peels
#   off. Saw near the line, sand **to** the line.
# - Copy it: stack the boards, drill two datum holes through all of them, then saw; or
#   follow the master with a flush-trim bit. Ribs cut one by one end up twisted.
# - Two half ribs need a piece across the joint, or a kink sits at the vertex.
# - The printed curve is the **mirror's surface**. A 1 mm sheet on it shifts the light by
#   0.7 mm: forget it. A 6 mm backing shifts it by 4 mm: tell the design.

# %% [markdown]
# ### From sheet to mirror
#
# (All common practice.)
#
# - Let the sheet lie. Held at a few points it finds a smoother curve than in a sawn groove.
# - Its edges spring up. Clamp a strip along both long edges.
# - Plastic grows: 0.9 m of acrylic by about 3 mm for 50 degrees. Only the middle screw is
#   tight; the others sit in slots, with washers.
# - Screws every 80 to 100 mm along the rim, 120 to 150 mm along a rib. For a 1 mm sheet,
#   ribs at most 300 mm apart.
# - Film tears from a nick and creases when carried: two people, no knife, edge tape
#   without gaps. Hook-and-loop tape lets go in the heat.

# %% [markdown]
# ## Hands-on: one curve, three ways
#
# On one large sheet of paper draw the same curve three times.
#
# 1. **Table:** mark x = 0, 20, 40 … mm and the heights from your `rib_height`.
# 2. **String and square:** slide a set square along a straight edge. Pin a string,
#    as long as the square's upright side, to that side's tip and to the focus. Hold
#    it tight against the side with a pencil and slide.
# 3. **Print:** half a rib at actual size. Measure both bars first.
#
# Where do the curves differ by more than a pencil line?
#
# Then bend a shiny strip to the curve, light it with a far torch and measure
# where the light meets.

# %% [markdown]
# ### What did your printer do?
#
# Type the two bars of your print into the boxes below. They tell the focal length
# your print really has, the light it costs and where to put the pipe.

# %% explorer="measured_print"
explorers.explore_measured_print()

# %% [markdown]
# ## Safety
#
# > Knife and saw: clamp the work, cut away from your hand, glasses on. Sanding
# > makes dust: wear a mask, go outside. Edges of sheets cut: tape them. A bent
# > sheet stores energy and can spring back.
# >
# > The film stays on the mirror until the last step. **No test of the focus with
# > the sun in this lesson**, not even a short one. Indoors and a torch will do.
# >
# > An adult is in charge of tools; school and local rules come first. A right answer
# > here is a finished exercise, not a permission to build.

# %% [markdown]
# ## Key points
#
# - y = x²/(4f), with x from the centre line. Depth is at half the width.
# - The sheet is wider than the opening, here by about an eighth.
# - The tightest bend has radius 2f, at the vertex.
# - A print stretched across counts twice, down once and the other way:
#   f′ = f · (across)² / (down).
#
# **Words.** *Vertex*: lowest point of the curve. *Focal length*: from vertex to
# focus. *Rim*: the edge. *Normal*: line square to the surface. *Datum*: the line
# all measures start from. *Trim*: extra sheet cut off at the end. *Rim angle*: seen from
# the focus, from vertex to rim.

# %% [markdown]
# More words: [glossary](glossary.md). Next: [02 Concentration](02_concentration.ipynb).
