# %% [markdown]
# # 00 Start here
#
# **Question:** Can I run this course, and what am I about to handle?
#
# Cobwren Yard is a workshop in the invented town of Vessamoor. On Saturdays it
# needs 6 litres of warm rinse water for brushes. The plan is **the Ladle**: a
# curved mirror, 640 mm wide and 900 mm long, that warms a black pipe.
#
# **At the end of this lesson you can**
#
# - check an answer and use what the check says,
# - write a value with its unit,
# - notice a stale notebook and cure it,
# - name the four standing rules.
#
# Time: 30 to 40 minutes.

# %% [markdown]
# ## How a notebook works
#
# This page is a **notebook**. It is made of **cells**: boxes of text, and boxes of code
# on grey.
#
# To **run** a cell, click into it and press Shift+Enter. What it makes appears below it.
# Run them from top to bottom. Quicker, whenever you open a page: menu *Run*, *Run All Cells*.
#
# The **kernel** is the part that runs the code and remembers its values. When
# something looks odd, open the menu *Kernel* and pick *Restart Kernel and Run All
# Cells*. Your answers stay.
#
# By keyboard: the arrow keys go from cell to cell, Enter goes into one, Esc comes out. Tab
# goes into a folded cell, Shift+Tab comes back.

# %% [markdown]
# ## Three ways to work
#
# Every exercise can be done in any of three ways. All count the same, and you
# may change your way at every exercise.
#
# - **Slide:** use the forms and sliders. No Python needed.
# - **Tweak:** change the one line that is marked.
# - **Code:** write it yourself.
#
# Every picture also comes as words and a small table, so you can work with a screen
# reader. New words stand in the [glossary](glossary.md).
#
# All people and places here are invented. Ilvane cuts wood, Maruk fits pipes,
# Dessa teaches, and Pim, who is 16, keeps the log.

# %%
from autograde import check, fresh, numbers, predict, progress
from solarlib import explorers

my = numbers("start")
my

# %% [markdown]
# The table above is **your card**. Exercises say “your opening” and mean the
# number on the card. In a class everybody has other numbers.
#
# Write numbers as you like: `98.4 mm`, `9,84 cm` (a decimal comma is fine) or
# `3 7/8 in`. Only the **unit** must stand behind the number. Areas may be in `m2`,
# `cm2` or `in2`.
#
# You never lose an answer. Each try goes into the file `answers.jsonl` beside
# your notebooks, and the check shows when it was last saved.

# %% [markdown]
# ## Predict first
#
# A guess before looking helps you learn, right or wrong. It is kept and never
# marked. We come back to this one in lesson 04.

# %% predict="start.warmer"
predict("start.warmer")

# %% [markdown]
# ## The idea: the opening catches the sun
#
# On a clear day the sun brings about 800 to 900 watts to each square metre that
# faces it. A mirror cannot make more. It only gathers what comes through its
# **opening**, the flat area between its edges.
#
# power in (W) = opening area (m²) × sunshine (W/m²)
#
# **Worked number.** An opening of 500 mm by 1000 mm is 0.5 m × 1.0 m = 0.5 m².
# With 800 W/m² of sunshine it takes in 0.5 × 800 = 400 W. Look at the unit: the
# square metres cancel and watts are left.

# %% [markdown]
# ## Explore: how big is the sun's share?
#
# Move the sliders, or type in the boxes beside them. Can any opening on this
# table match a kettle of 2000 watts? What is the one thing that raises the watts?

# %% explorer="suns_share"
explorers.explore_suns_share()

# %% [markdown]
# **Did you see it?** On a clear day the Ladle takes in almost 500 W, about a quarter of a
# kettle. What ends up in the water is less still: about 270 W, a seventh of a kettle. Lesson
# 04 shows where the rest goes.
#
# No cleverness with the curve raises the watts. Only a larger opening does. A good curve
# makes sure that they arrive.

# %% [markdown]
# ## Exercises
#
# ### 1 The opening
#
# **What is the area of your opening?** Width times length, both on your card.
#
# *Slide:* run the check cell below the answer cell and type into its box.
# *Tweak or Code:* write your answer between the quotes, with its unit. Run the
# cell, then the check.

# %% answer="opening_area"
### START opening_area = ""
### BEGIN SOLUTION
opening_area = f"{my.aperture_width * my.trough_length:.4f} m2"
### END SOLUTION

# %% check="start.opening_area" points=2
check("start.opening_area", opening_area)

# %% [markdown]
# ### 2 The power
#
# **How much power comes through your opening** when the sunshine is as strong as
# your card says? If your area was wrong, this answer may still be right: it is
# checked against your own area too.

# %% answer="power_in"
### START power_in = ""
### BEGIN SOLUTION
power_in = f"{my.aperture_width * my.trough_length * my.sunshine:.1f} W"
### END SOLUTION

# %% check="start.power_in" points=2
check("start.power_in", power_in)

# %% [markdown]
# ### 3 A rule for every trough
#
# A **function** is a rule with a name: numbers go in, one number comes back.
# `power(area, sun)` shall give the watts for *any* opening and *any* sunshine.
#
# *Slide:* type the rule into the box of the check, for example `area + sun`.
# *Tweak:* change only the marked line. *Code:* write the function anew.
#
# The check calls your function with numbers that you do not see.


# %% answer="power"
def power(area, sun):
    ### START watts = area + sun  # change only this line
    ### BEGIN SOLUTION
    watts = area * sun
    ### END SOLUTION
    return watts


# %% check="start.power" points=2
check("start.power", power)

# %% [markdown]
# ### 4 A stale notebook
#
# Pim opens a notebook and runs cells 1, 2 and 5. Cell 5 stops and says that a
# value is missing. **What helps?**
#
# - a: run cell 5 once more
# - b: restart the kernel and run all cells from the top
# - c: install Python again
# - d: delete cell 5

# %% answer="stale"
### START stale = ""
### BEGIN SOLUTION
stale = "b"
### END SOLUTION

# %% check="start.stale" points=1
check("start.stale", stale)

# %% [markdown]
# ### Is my notebook fresh?
#
# A notebook keeps values in its memory, also of cells that you have changed since.
# Save with Ctrl+S (Cmd+S on a Mac), then run the next cell. It compares your saved
# notebook with what really ran. Do this whenever something looks odd.

# %%
fresh()

# %% [markdown]
# ### 5 The standing rules
#
# A mirror does its work whether you watch it or not. **Which of these are
# standing rules?** Pick all that are.
#
# - a: cover the mirror whenever nobody is watching it
# - b: never look into the mirror or at the bright line on the pipe
# - c: the pipe is always open to the air
# - d: the water is not for people: not to drink, not to wash in
# - e: with sunglasses you may look along the mirror
# - f: close both valves to keep the heat in

# %% answer="rules"
### START rules = ""
### BEGIN SOLUTION
rules = "a, b, c, d"
### END SOLUTION

# %% check="start.rules" points=3
check("start.rules", rules)

# %% [markdown]
# ## Hands-on: does your printer tell the truth?
#
# Later you print ribs at full size, so your printer must not shrink them.
#
# 1. Print a template page at “actual size”, never “fit to page”. Every template page
#    of the build pack has both bars; your teacher has one, or lesson 07 makes it.
# 2. Measure the 200 mm bar across and the 150 mm bar down with a steel rule.
# 3. Type both with units, like `200.0 mm, 149.5 mm`. Good limits are 199 to
#    201 mm and 149.25 to 150.75 mm (common practice).
#
# No printer today? Draw both bars with a ruler and a pencil, measure them with
# a second ruler, and enter those. This one is not marked.

# %% answer="bars"
### START bars = ""
### BEGIN SOLUTION
bars = "200.0 mm, 150.0 mm"
### END SOLUTION

# %% check="start.bars"
check("start.bars", bars)

# %% [markdown]
# ## Safety
#
# > **The four rules.** Cover it when nobody watches. Never look into the mirror
# > or at the bright line on the pipe. Keep the pipe open to the air. Use the water
# > for cleaning only, and drain it the same day.
# >
# > Outdoor work needs an adult in charge who signs for it. Take sun cream, drinking
# > water and shade. Local rules and your school's own risk assessment come first;
# > building, plumbing and electrical work belongs to people licensed for it.
# >
# > A right answer here is a finished exercise, not a permission to build.

# %% [markdown]
# ## Key points
#
# - Power in = opening area × sunshine. Only a larger opening takes in more.
# - A number without a unit is half an answer.
# - Odd result? Restart the kernel and run everything from the top.
# - Four rules: cover, eyes, open pipe, not for people.
#
# **Words.** *Opening* (also aperture): the flat area between the mirror's edges.
# *Watt (W)*: unit of power, how fast energy comes. *Sunshine* here: watts on each
# square metre that faces the sun, W/m². *Kernel*: the part that runs your code.

# %% [markdown]
# ## Where am I?
#
# This table reads your file of answers. Run it at any time.
#
# Next: [01 Parabola](01_parabola.ipynb).

# %%
progress()
