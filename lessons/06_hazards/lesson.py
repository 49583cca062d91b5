# %% [markdown] name="title"
# # 06 Burns and other hazards
#
# **Question:** What can it do to me, to others, to the building?
#
# Maruk asks in every lesson: “And where does the steam go?” Today he gets his answer.
# So does Pim, who wants to know how long a hand has.
#
# **At the end of this lesson you can**
#
# - read a burn table on a log scale,
# - say where the beam goes when nobody looks,
# - explain why the pipe is never closed,
# - put the shutdown in the right order and write a rule for visitors.
#
# Time: 60 minutes. Before this: lessons 01 and 04. Nothing in this lesson is done with the
# sun: the mirror stays covered.

# %% name="setup"
from autograde import check, numbers, predict
from solarlib import explorers

my = numbers("hazards")
my

# %% [markdown] name="paths"
# Your card belongs to your own trough. All ways of working earn full credit.
#
# *Slide:* type into the box under each check. *Tweak:* change the line between the
# quotes. *Code:* calculate with your card. In Python its lengths are in metres, its light
# in W/m², its shares between 0 and 1. Millimetres and inches are both fine.

# %% [markdown] name="predict_text"
# ## Predict first
#
# Water at 49 °C burns an adult's skin deeply in about ten minutes. Say what
# you expect at 60 °C. Your guess is kept, and never marked.

# %% predict="hazards.five_seconds"
predict("hazards.five_seconds")

# %% [markdown] name="idea_burn"
# ## The idea: time and temperature go together
#
# Nobody can say how hot “too hot” is without saying **how long**. Each degree
# takes a share of the time, not a fixed number of seconds. So burn times
# are drawn on a **log scale**: one step up the axis is ten times as long.
#
# Two rows from a public scald table (deep burn, adult skin, read in a copy):
#
# | water | time |
# |---|---|
# | 51 °C | 252 s |
# | 55 °C | 30 s |
#
# Blisters come in about half that time, and a child's burns in a quarter or less. Other
# tables differ; some give less. What no table has is unknown. Unknown never means
# harmless.

# %% [markdown] name="worked_burn"
# ### Worked number: 54 °C
#
# 54 °C lies three quarters of the way from 51 to 55 °C.
#
# 1. The times shrink from 252 s to 30 s: to 0.119 of the start.
# 2. Three quarters of that step: 0.119 to the power of 0.75 is 0.203.
# 3. 252 s × 0.203 = 51 s.
#
# A straight line would have said 86 s, and would have been wrong in the
# dangerous direction.

# %% [markdown] name="explore_burn_text"
# ## Explore: the burn clock
#
# Three moves to try: go from 49 to 60 °C, change adult to child, change the log
# axis to a plain one.

# %% explorer="burn_clock"
explorers.explore_burn_clock(predict("hazards.five_seconds"))

# %% [markdown] name="explore_burn_after"
# **Did you see it?** Between 49 and 60 °C ten minutes become five seconds. On the plain
# axis the hot half of the picture looks empty, although that is where people get hurt.
#
# Compare the time with the other bar: to notice, to be startled and to pull away takes a
# person a second or more (common practice).

# %% [markdown] name="idea_touch"
# ### The same heat, another thing
#
# What decides is how hot your **skin** gets. A board of pine at 80 °C warms the skin that
# touches it to about 43 °C. Copper at 80 °C warms it to about 79 °C: metal leads its heat
# into the finger at once. A pipe full of hot water goes on doing so.
#
# And hot copper looks just like cold copper. So nobody tests the pipe with a hand: use a
# thermometer, and gloves.

# %% [markdown] name="ex_burn_time"
# ## Exercises
#
# ### 1 Time to a deep burn
#
# Take your *water temperature* from the card. **How long until a deep burn?** Go between
# the two rows of the table above as in the worked number: by a share, not on a straight
# line. On a calculator “to the power of” is the key xʸ or ^.

# %% answer="burn_time"
# Change only the line below, for example: burn_time = "45 s"
### START burn_time = ""
### BEGIN SOLUTION
from math import exp, log

share = (my.burn_temp - 51) / (55 - 51)
burn_time = f"{exp((1 - share) * log(252) + share * log(30)):.4g} s"
### END SOLUTION

# %% check="hazards.burn_time" points=2
check("hazards.burn_time", burn_time)

# %% [markdown] name="ex_showers"
# ### 2 Water for people?
#
# A visitor asks whether the Ladle could feed a shower. **What do you answer?**
#
# - a: yes, at 45 °C: warm enough and it scalds nobody
# - b: yes, if the pot has a lid and is used within a week
# - c: not with this trough: stored water for people is kept at 60 °C or more, mixed at
#   delivery, and that is a plumber's work under local rules
# - d: yes, sunlight kills the germs

# %% answer="showers"
### START showers = ""
### BEGIN SOLUTION
showers = "c"
### END SOLUTION

# %% check="hazards.showers" points=1
check("hazards.showers", showers)

# %% [markdown] name="idea_beam"
# ## The idea: the beam goes on after the line
#
# The light does not stop at the pipe. What misses it crosses over and spreads
# out again, like the strokes of an X.
#
# **Flux** is light on an area, in W/m². How far past the line is a strip's light still as
# strong as a given flux?
#
# distance past the line = reflectance × sun × (strip to line) ÷ flux
#
# **Reflectance** is the share that the mirror sends back. 1 kW/m² is 1000 W/m².
#
# Light from a *line* halves when the distance doubles. (From a *point* it falls to a
# quarter.) The rim strip is farthest from the line, so its light stays strong longest.

# %% [markdown] name="explore_walk_text"
# ## Explore: after you walk away
#
# Leave the trough for some hours. Park it at different tilts. Then put the
# cover on.

# %% explorer="after_you_walk_away"
explorers.explore_after_you_walk_away(predict("hazards.first_to_burn"))

# %% [markdown] name="explore_walk_after"
# **Did you see it?** For wood the worst part is a shell of a few centimetres round the bright
# line. So the first thing to burn is your own frame, and off noon your own hose. For bare
# skin the shell is almost three times as wide, and for eyes it has no end. A design keeps
# bare wood as far off as skin. With the cover on, no light gets to the line.
#
# Shaving mirrors on a window sill have set rooms on fire. The curved front of a tall
# building is reported to have heated the pavement to more than 90 °C and to have damaged a
# parked car. Nobody had aimed either of them.

# %% [markdown] name="ex_shell"
# ### 3 How far past the line?
#
# Light of 4.3 kW/m² lit wood in one long test (one study, read as an abstract). **How far
# past the line is the beam from your rim strip still that strong?** Your card has width,
# focal length, mirror and sun. From rim to line it is f + x²/(4f), with half the width
# for x, as in lesson 02.

# %% answer="shell"
# Change only the line below, for example: shell = "45 mm"
### START shell = ""
### BEGIN SOLUTION
half_width = my.aperture_width / 2
rim_distance = my.focal_length + half_width**2 / (4 * my.focal_length)
shell = f"{1000 * my.reflectance * my.beam * rim_distance / my.wood_limit:.4g} mm"
### END SOLUTION

# %% check="hazards.shell" points=2
check("hazards.shell", shell)

# %% [markdown] name="idea_closed"
# ## The idea: never close the pipe
#
# Warm water needs more room. It can hardly be squeezed. If the pipe is full and
# both ends are shut, each degree adds about three bar (22 mm copper, from
# 20 °C). A bicycle tyre holds about four bar. From outside an open and a closed
# pipe look just the same.
#
# So the pipe and the pot are always **open to the air**: no valve, cap or trap
# between the water and the vent. The course has no sum that says when a closed
# pipe would hold. Closed hot-water vessels belong to licensed people and to
# your local code.

# %% [markdown] name="ex_closed"
# ### 4 Both valves shut
#
# Somebody fitted a valve at each end and shut both. The pipe is brim-full. The sun warms
# the water by 10 °C; it does not boil. **What happens?**
#
# - a: nothing until it boils at 100 °C
# - b: a few bar, like a bicycle tyre
# - c: tens of bar, enough to burst a pipe or a joint
# - d: the copper stretches and makes room

# %% answer="closed_valves"
### START closed_valves = ""
### BEGIN SOLUTION
closed_valves = "c"
### END SOLUTION

# %% check="hazards.closed_valves" points=1
check("hazards.closed_valves", closed_valves)

# %% [markdown] name="ex_steam"
# ### 5 Where does the steam go?
#
# Once the water boils, all the *heat left over* on your card makes steam. Boiling away
# 1 kg takes 2.26 MJ, that is 2 260 000 joules. One cubic metre of steam, 1000 litres,
# weighs 0.6 kg.
#
# 1. kilograms each second = heat left over ÷ 2 260 000
# 2. cubic metres each second = kilograms ÷ 0.6
# 3. litres each minute: think yourself.
#
# **How many litres of steam leave the vent each minute?** Write it like `5 L/min`.

# %% answer="steam"
# Change only the line below, for example: steam = "20 L/min"
### START steam = ""
### BEGIN SOLUTION
mass_each_second = my.surplus / 2.26e6
steam = f"{mass_each_second / 0.6 * 1000 * 60:.4g} L/min"
### END SOLUTION

# %% check="hazards.steam" points=2
check("hazards.steam", steam)

# %% [markdown] name="steam_after"
# That is why the vent points away from people and from the mirror, and why nobody bends
# over it. A gram of steam that turns to water on skin gives more than nine times the heat
# of a gram of boiling water.
#
# White mist is water already. The steam itself, right at the vent, cannot be seen.

# %% [markdown] name="ex_shutdown"
# ### 6 The end of a session
#
# **Put the steps in order.** First take the light away, then the heat. Paper comes last.
#
# - a: drain the pipe
# - b: cover the mirror
# - c: write the log
# - d: wait, and check with a thermometer that it has cooled
# - e: turn the trough away from the sun
# - f: stow and strap

# %% answer="shutdown"
# Letters in your order, like "a, b, c, d, e, f"
### START shutdown = ""
### BEGIN SOLUTION
shutdown = "b, e, d, a, f, c"
### END SOLUTION

# %% check="hazards.shutdown" points=2
check("hazards.shutdown", shutdown)

# %% [markdown] name="ex_solder"
# ### 7 Solder near the light
#
# A common soft solder begins to melt at 232 °C, others at 183 to 227 °C (from copies of
# tables; the maker's sheet decides). In still air the dry pipe of lesson 04 gets hotter
# than that. Your card has a dry pipe in a light breeze. **How many kelvin are left
# before the joint melts?**

# %% answer="solder_margin"
# Change only the line below, for example: solder_margin = "40 K"
### START solder_margin = ""
### BEGIN SOLUTION
solder_margin = f"{232 - my.dry_pipe:.4g} K"
### END SOLUTION

# %% check="hazards.solder_margin" points=1
check("hazards.solder_margin", solder_margin)

# %% [markdown] name="ex_solder_verdict"
# ### 8 Is that margin enough?
#
# Read your result of exercise 7 again. **What do you do with a soft-soldered joint in the
# lit zone?**
#
# - a: fine, it does not melt
# - b: not acceptable: move the joint out of the lit zone, or braze it
# - c: fine if the pipe is never left dry

# %% answer="solder_verdict"
### START solder_verdict = ""
### BEGIN SOLUTION
solder_verdict = "b"
### END SOLUTION

# %% check="hazards.solder_verdict" points=1
check("hazards.solder_verdict", solder_verdict)

# %% [markdown] name="ex_wind"
# ### 9 A mirror is a sail
#
# push = ½ × 1.225 kg/m³ × speed² × 1.4 × opening
#
# The 1.225 is the air's density. The 1.4 is the low end for a hollow shape; long shells
# reach 2.3. **How hard does your strongest gust push on the trough?** Write it in newtons,
# like `50 N`. Ten newtons are the weight of one litre of water.

# %% answer="wind_force"
# Change only the line below, for example: wind_force = "50 N"
### START wind_force = ""
### BEGIN SOLUTION
area = my.aperture_width * my.trough_length
wind_force = f"{0.5 * 1.225 * my.wind**2 * 1.4 * area:.4g} N"
### END SOLUTION

# %% check="hazards.wind_force" points=2
check("hazards.wind_force", wind_force)

# %% [markdown] name="ex_visitor"
# ### 10 Three lines for visitors
#
# **Write a rule of three lines** for people who come to look: when the mirror is covered,
# how far they stay away, whom to call. A teacher or a friend reads it; the check only
# tells which key points it sees.

# %% answer="visitor_rule"
### START visitor_rule = ""
### BEGIN SOLUTION
visitor_rule = """The cover stays on until everybody stands behind the tape.
Keep two metres distance and never look into the mirror.
If anything smokes or hisses, step back and call Maruk."""
### END SOLUTION

# %% check="hazards.visitor_rule" points=2
check("hazards.visitor_rule", visitor_rule)

# %% [markdown] name="notes_pipe"
# ## Workshop notes: pipe and plumbing
#
# - Hot metal never touches wood: a metal bracket, and 15 to 20 mm of air (common practice).
#   Wood that stays at 77 °C for long can catch fire by itself (one study, read as an
#   abstract).
# - Next to the mirror copper or silicone hose made for 200 °C; plastic only after half a
#   metre or more (common practice). Garden hose softens and splits.
# - Lead-free solder, also for cleaning water.
# - Fill by jug. A hose end left in the pot can suck the water back into the supply.
# - Frost splits a pipe that cannot drain: no valve, no check valve, no dip. Drain the
#   lowest point and store it indoors.

# %% [markdown] name="notes_place"
# ### The place
#
# - Not on a roof. That needs a permit, and people who work there for a living.
# - Never across a path, a road or a neighbour's window.
# - Above 8 m/s of wind, 29 km/h (common practice): strap it face down or carry it in. Ballast must
#   hold one and a half times what the wind does. For the Ladle at 20 m/s that is about
#   65 kg; with the 2.3 of a long shell it is over 100 kg.

# %% [markdown] name="notes_cover"
# ### Cover, hoses, visitors
#
# (All common practice.)
#
# - No dry grass, paper or cloth near the line. Water or an extinguisher at hand.
# - The cover itself passes the bright line and may touch a hot pipe. Take a board, or cloth
#   that does not burn.
# - Clip each end of a hose: one that slips off scalds.
# - Uncovered only while somebody watches who knows the shutdown. Tape stops no toddler and
#   no dog: then the cover goes on.

# %% [markdown] name="hands_on"
# ## Hands-on (no sun)
#
# 1. Cut a cardboard sun. Let a friend hold it where the sun stands in the morning, at
#    noon and in the evening. Look up in the explorer where the line falls, and mark the
#    place with chalk.
# 2. Practise the shutdown with the cover on. Say each step aloud.
# 3. Make the hazard card: eyes, touch, scald, beam, closed valve and steam, fire
#    and cover, wind, water not for people, who is in charge. Leave the emergency
#    number blank and fill it in by hand.
#
# There is **no live demonstration** of the focus on paper or wood in this
# course.

# %% [markdown] name="safety"
# ## Safety
#
# > Outdoor work is signed for by the adult in charge: a teacher or the yard's owner. Local
# > codes and your school's own risk assessment come first.
# >
# > Cover the mirror whenever nobody is watching, and before every touch. Never look along
# > the mirror or at the line. The pipe is always open to the air.
# >
# > Hot joints, gas, mains water and electrical work belong to licensed people.
# >
# > Cool a burn under running water for 20 minutes, get help. After a look into the beam
# > see a doctor (usual advice; follow your local one).
# >
# > A pass here means “checked items complete”. It is not a permission to build.

# %% [markdown] name="key_points"
# ## Key points
#
# - A burn needs a temperature **and** a time. Each degree takes a share.
# - The beam past the line thins as 1 ÷ distance: a shell of centimetres.
# - A full, closed pipe gains tens of bar long before it boils.
# - Cover, turn, wait, drain, stow, log.
# - What is not known is not harmless.
#
# **Words.** *Log scale*: an axis on which equal steps multiply. *Flux*: watts on each
# square metre. *Reflectance*: share of light a mirror sends back. *Margin*: what is left
# before a limit. *Solidus*: where a metal mixture begins to melt.

# %% [markdown]
# Before anything is done outdoors, fill in the [draft risk assessment](risk_assessment.md)
# that lies beside this notebook. More words: [glossary](glossary.md). Next: [07
# Capstone](07_capstone.ipynb).
