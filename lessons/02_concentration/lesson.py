# %% [markdown]
# # 02 Concentration
#
# **Question:** Which pipe, and how exact must I be?
#
# Maruk has two pipes on the bench, 15 mm and 22 mm. “The thin one gets hotter,”
# says a visitor. Does it also give more warm water?
#
# **At the end of this lesson you can**
#
# - tell power from concentration,
# - work out how wide the sun's image is,
# - choose a pipe for the aim you can hold,
# - multiply a chain of losses, and say which errors matter.
#
# Time: 75 minutes. Before this: lesson 01.

# %%
from autograde import check, numbers, predict
from solarlib import explorers, geometry, optics, units

my = numbers("concentration")
my

# %% [markdown]
# Your card belongs to your own trough. All ways of working earn full credit.
#
# *Slide:* type into the box under each check. *Tweak:* change the line between the
# quotes. *Code:* calculate with your card. In Python its lengths are in metres,
# its angles in degrees, its shares between 0 and 1.

# %% [markdown]
# ## Predict first
#
# Hold your little finger out at arm's length: it is about one degree wide (from
# memory). Your guess opens the sliders further down.

# %% predict="concentration.cliff"
predict("concentration.cliff")

# %% [markdown]
# ## The idea: watts and suns
#
# The **power** on the pipe, in watts, comes through the opening. It grows with the
# opening only.
#
# **Concentration** says how many times stronger the light on the pipe is than plain
# sunlight. We count it in **suns**.
#
# concentration = (opening − shadow) ÷ circumference of the pipe
#
# The pipe throws a shadow as wide as itself. What is left lands around its skin.
#
# A mirror makes no energy. It gathers it onto less skin.

# %% [markdown]
# ### Worked number
#
# A small trough has an opening of 300 mm and a pipe of 15 mm.
#
# 1. Opening without the shadow: 300 − 15 = 285 mm.
# 2. Circumference of the pipe: π × 15 = 47.1 mm.
# 3. Concentration: 285 ÷ 47.1 = 6.05 suns.
#
# 300 ÷ 15 = 20 is a different thing: width over width. Both are called
# “concentration”, so always say which one you mean.

# %% [markdown]
# ## Exercises, first part
#
# ### 1 How many suns?
#
# Use your opening and your pipe. **What is the concentration on your pipe,**
# counted around its skin and without the shadow?

# %% answer="ratio"
### START ratio = ""
### BEGIN SOLUTION
from math import pi

ratio = f"{(my.aperture_width - my.tube_diameter) / (pi * my.tube_diameter):.4f}"
### END SOLUTION

# %% check="concentration.ratio" points=2
check("concentration.ratio", ratio)

# %% [markdown]
# ### 2 From the rim to the focus
#
# The longest way is the one from the rim. For a parabola it is simple:
#
# r = f + x²/(4f), with x from the centre line
#
# That is the focal length plus the height of the curve at x. **How far is your rim
# from the focus?** The next exercises build on it. If it is wrong here, they are
# still checked with your own value.

# %% answer="rim_distance"
### START rim_distance = ""
### BEGIN SOLUTION
rim = my.focal_length + (my.aperture_width / 2) ** 2 / (4 * my.focal_length)
rim_distance = units.show(rim, "mm", 5)
### END SOLUTION

# %% check="concentration.rim_distance" points=1
check("concentration.rim_distance", rim_distance)

# %% [markdown]
# ### 3 The sun is a disc
#
# Many people draw the focus as a point. But the sun is not a point: it is 0.533°
# across. So is the fan of light that each spot of the mirror sends on. At the
# distance r it is this wide:
#
# image = 2 × r × tan(half of 0.533°)
#
# **How wide is the sun's image from your rim strip,** if the mirror is perfect?

# %% answer="image"
### START image = ""
### BEGIN SOLUTION
from math import radians, tan

rim = my.focal_length + my.aperture_width**2 / (16 * my.focal_length)
image = units.show(2 * rim * tan(radians(0.533 / 2)), "mm", 5)
### END SOLUTION

# %% check="concentration.image" points=2
check("concentration.image", image)

# %% [markdown]
# ### 4 How far off may the aim be?
#
# Turn the trough by a small angle, and the light moves off the pipe's middle by the
# same angle, seen from the mirror. The rim strip misses first: from there the pipe
# looks smallest.
#
# 1. Half the pipe, seen from the rim: sin(angle) = radius ÷ rim distance.
# 2. Take off the sun's half width, 0.267°, because its edge misses first.
#
# On a calculator the way back from a sine is called sin⁻¹. **What is the largest
# aim error without any loss,** for a perfect mirror?

# %% answer="no_loss_aim"
### START no_loss_aim = ""
### BEGIN SOLUTION
from math import asin, degrees

rim = my.focal_length + my.aperture_width**2 / (16 * my.focal_length)
no_loss_aim = f"{degrees(asin(my.tube_diameter / 2 / rim)) - 0.533 / 2:.3f} deg"
### END SOLUTION

# %% check="concentration.no_loss_aim" points=2
check("concentration.no_loss_aim", no_loss_aim)

# %% [markdown]
# ## Explore: the sun is a disc
#
# The picture looks closely at the pipe. Three bundles arrive: from the centre, from
# half-way, from the rim. Raise the aim error in steps of half a degree and watch the
# **share caught**. Then try the other faults, one at a time.

# %% explorer="sun_is_a_disc"
explorers.explore_sun_is_a_disc(question=predict("concentration.cliff"))

# %% [markdown]
# **Did you see it?** Nothing, nothing, then a cliff. As long as each bundle fits on
# the pipe, aim costs nothing. The rim bundle falls off first, because it is widest
# and comes from farthest away. Then strip after strip follows, and the share drops
# quickly.
#
# The next cell works the numbers out for the Ladle with a careful surface. Compare
# them with your prediction.

# %%
ladle = geometry.Parabola(focal_length=0.170, aperture_width=0.640)
for aim_error in (0, 1, 1.5, 2, 3):
    share = optics.intercept_factor(ladle, 0.022, slope_error_mrad=5, misaim_deg=aim_error)
    print(f"{aim_error:>4}° off: {units.show(share, '%', 3)} caught")

# %% [markdown]
# ## Exercises, second part
#
# ### 5 Which fault costs most?
#
# Take the Ladle's 22 mm pipe and a careful surface of 5 mrad (an ordinary one has 8). A
# **milliradian** (mrad) is a small angle: 1 mm in 1 m. The explorer calls the surface
# “mirror waves”. Set each fault there. **Which one costs most?**
#
# - a: the surface is rougher: 8 mrad instead of 5
# - b: the pipe sits 3 mm too high
# - c: the trough points 3° beside the sun
# - d: the trough points 1° beside the sun

# %% answer="worst_fault"
### START worst_fault = ""
### BEGIN SOLUTION
worst_fault = "c"
### END SOLUTION

# %% check="concentration.worst_fault" points=1
check("concentration.worst_fault", worst_fault)

# %% [markdown]
# ### 6 A tilted strip
#
# One strip at your rim is tilted by the angle on your card. A mirror that tilts by an
# angle turns its light by **twice** that angle.
#
# **How far beside the focus does the strip's light pass?** Use your rim distance.

# %% answer="rim_miss"
### START rim_miss = ""
### BEGIN SOLUTION
from math import radians

rim = my.focal_length + my.aperture_width**2 / (16 * my.focal_length)
rim_miss = units.show(2 * radians(my.surface_tilt) * rim, "mm", 5)
### END SOLUTION

# %% check="concentration.rim_miss" points=2
check("concentration.rim_miss", rim_miss)

# %% [markdown]
# ## Explore: two different bars
#
# One bar shows watts on the pipe, the other shows suns on its skin. Before you move
# a slider, guess what a thinner pipe does when the aim is not perfect. Your guess
# unlocks the sliders.

# %% explorer="two_bars"
explorers.explore_two_bars(question=predict("concentration.thinner"))

# %% [markdown]
# **Did you see it?** A thinner pipe raises the bar of suns only. The watts come
# through the opening, so they do not rise. With poor aim they even fall, because the
# thin pipe misses light that the thick one still catches.
#
# The next cell compares the two pipes at 1.5° aim error.

# %%
for pipe in (0.015, 0.022):
    share = optics.intercept_factor(ladle, pipe, slope_error_mrad=5, misaim_deg=1.5)
    suns = share * optics.concentration_unshaded(0.640, pipe)
    caught = units.show(share, "%", 3)
    print(f"{units.show(pipe, 'mm')} pipe: {caught} caught, {suns:.1f} suns before losses")

# %% [markdown]
# ## Exercises, third part
#
# ### 7 A second mirror
#
# Somebody adds a second, equal mirror that lights the **same** stretch of pipe. What
# happens to watts and suns?
#
# - a: watts double, suns on the skin double
# - b: watts double, suns stay
# - c: watts stay, suns double
# - d: neither changes

# %% answer="second_mirror"
### START second_mirror = ""
### BEGIN SOLUTION
second_mirror = "a"
### END SOLUTION

# %% check="concentration.second_mirror" points=1
check("concentration.second_mirror", second_mirror)

# %% [markdown]
# ### 8 One side covered
#
# Pim lays a cloth over one **long side** of the mirror, from the centre line to the
# rim. What happens?
#
# - a: half the watts; the pipe is lit from one side only
# - b: half the watts; one half of the pipe's length goes dark
# - c: no watts; half a mirror makes no focus
# - d: the same watts; the other side makes up for it

# %% answer="half_covered"
### START half_covered = ""
### BEGIN SOLUTION
half_covered = "a"
### END SOLUTION

# %% check="concentration.half_covered" points=1
check("concentration.half_covered", half_covered)

# %% [markdown]
# ### 9 The chain of shares
#
# On its way each watt passes four gates: the pipe's shadow, the mirror, the pipe's
# edge, the paint. Each lets a **share** through. The shares multiply, because each
# gate sees only what the one before has left.
#
# Three of your shares are on the card. The fourth is (opening − pipe) ÷ opening.
# **What share of the sun's power ends up in your pipe?** Write `65 %` or `0.65`.

# %% answer="efficiency"
### START efficiency = ""
### BEGIN SOLUTION
unshaded = (my.aperture_width - my.tube_diameter) / my.aperture_width
efficiency = f"{my.reflectance * my.absorptance * my.caught * unshaded:.4f}"
### END SOLUTION

# %% check="concentration.efficiency" points=2
check("concentration.efficiency", efficiency)

# %% [markdown]
# ### 10 A band on a pipe
#
# Think of a **band** of even light, as wide as `band`. Its middle lies `offset` beside
# the middle of a pipe as wide as `pipe` (all in mm). Write
# `share_caught(offset, band, pipe)`: the part of the band that lies on the pipe,
# divided by the band. It lies between 0 and 1.
#
# *Slide:* type the rule into the box; `min(…)`, `max(…)` and `abs(…)` work there.
# *Tweak:* change only the marked line. *Code:* write it anew.


# %% answer="share_caught"
def share_caught(offset, band, pipe):
    right_end = min(pipe / 2, offset + band / 2)
    left_end = max(-pipe / 2, offset - band / 2)
    ### START share = right_end - left_end  # change only this line
    ### BEGIN SOLUTION
    share = max(0, right_end - left_end) / band
    ### END SOLUTION
    return share


# %% check="concentration.share_caught" points=3
check("concentration.share_caught", share_caught)

# %% [markdown]
# ### 11 Answer the visitor
#
# “A thinner pipe gives more concentration,” says the visitor, “so you get warm water
# sooner.” **What do you answer?** Two or three sentences. Speak of watts, of suns and
# of aim. A person reads and marks them; the check only tells which points it sees.

# %% write="thin_pipe" points=2
# The watts come through the opening, so a thinner pipe cannot bring more of them.
# It raises only the suns on its skin. And when the aim is a little off, a thin pipe
# misses light that a thicker one catches, so the water warms more slowly.

# %% check="concentration.thin_pipe"
check("concentration.thin_pipe")

# %% [markdown]
# ## Workshop notes: setting the pipe
#
# - Fix the pipe **last**. Its brackets have a slot of 15 mm up and down (common practice).
#   Find the focus with the test below, then tighten.
# - With perfect aim and a careful surface, 5 mm too high still catches 99 %, 10 mm 87 %,
#   15 mm only 52 %.
# - Sag hardly matters: full of water, 22 mm copper sags 0.2 mm over 0.9 m, 0.6 mm over
#   1.2 m, but 4.5 mm over 2 m.
# - Dust throws light past the pipe. Rinse, do not rub: scratches stay. The course counts
#   85 % for a clean mirror and 82 % in use (common practice).

# %% [markdown]
# ## Hands-on: the look-back test (no sun)
#
# Light takes the same way back. So you can test a mirror by looking, in the shade or
# under a grey sky (an old idea, from memory).
#
# 1. Put the dark pipe in its place. Lay the trough on its side, in the shade.
# 2. Stand 30 m away or more, straight in front. Look, or take a photo with the zoom. From
#    10 m a perfect rim strip is seen 10 mm beside the focus: at the very edge of the pipe.
# 3. A good mirror looks filled with the dark pipe from edge to edge.
# 4. Bright gaps show strips that send light past the pipe. Mark them with a crayon.

# %% [markdown]
# ### The same with a laser
#
# Second way, indoors: slide a laser level sideways across the mirror, always pointing the
# same way. Watch the line on a paper strip at the focus. Mark where it wanders.

# %% [markdown]
# ## Safety
#
# > Do the look-back test **never with the sun in front of, above or behind you**:
# > only in deep shade or indoors. Never look along the mirror into the sun, nor at the
# > bright pipe. Sunglasses do not help.
# >
# > Laser: class 2 only, never at eye height, nobody looks into the beam or its
# > reflection. The mirror sends it on.
# >
# > Keep the mirror covered until you use it. An adult is in charge; school and local
# > rules come first. A right answer here is a finished exercise, not a permission to
# > build.

# %% [markdown]
# ## Key points
#
# - Watts come through the opening. Suns are watts spread over skin.
# - The sun is a disc, so its image has a width. The rim makes the widest image.
# - Errors cost nothing until the bundles leave the pipe. Then comes a cliff.
# - A tilted strip turns its light twice as far.
# - Shares multiply. Aim matters more than a finer curve.
#
# **Words.** *Concentration*: how many times stronger the light is. *Sun* (as a unit):
# the strength of plain sunlight. *Circumference*: the way once around the pipe.
# *Milliradian*: 1 mm in 1 m. *Share caught*: light that meets the pipe ÷ light the
# mirror sends.

# %% [markdown]
# Books say *intercept factor* for the share caught, and *slope error* for the waves of the
# mirror. More words: [glossary](glossary.md). Next: [03 Sun](03_sun.ipynb).
