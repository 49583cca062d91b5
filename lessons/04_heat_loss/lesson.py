# %% [markdown]
# # 04 Heat loss
#
# **Question:** Where does the heat go?
#
# “In March it was sunny and cold,” says Pim, “and the log shows 40 °C and no more.
# Where did the rest go?” Maruk holds a hand near the pipe, not on it. “There,” he
# says. “And there, and there.”
#
# **At the end of this lesson you can**
#
# - name the ways in which pipe and pot lose heat,
# - estimate a loss, and explain the falling efficiency,
# - judge lid, lagging and cover,
# - find how hot a dry pipe gets.
#
# Time: 75 minutes. Before this: lesson 02.

# %%
from autograde import check, numbers, predict
from solarlib import explorers, geometry, heat, optics, units

my = numbers("heat_loss")
my

# %% [markdown]
# Your card belongs to your own trough. All ways of working earn full credit.
#
# *Slide:* type into the box under each check. *Tweak:* change the line between the
# quotes. *Code:* calculate with your card. In Python its lengths are in metres, its
# times in seconds, its temperatures in °C.

# %% [markdown]
# ## Predict first
#
# 472 W is the sun at 820 W/m² through the Ladle's opening. Your guess opens the sliders
# further down.

# %% predict="heat_loss.where_watts"
predict("heat_loss.where_watts")

# %% [markdown]
# ## The idea: four ways out
#
# Heat always flows from warm to cold, in every direction. It has four ways.
#
# - **Convection:** moving air carries it away. Wind makes it strong.
# - **Radiation:** every warm thing shines, invisibly. Shiny metal shines little, black
#   paint much. **Emittance** says how much, from 0 to 1.
# - **Conduction:** it flows through a solid, well in metal, badly in still air.
# - **Evaporation:** water that turns into vapour takes heat along.
#
# Pipe: the first two. Open pot: evaporation most of all. Hose and brackets: conduction
# to their skin, then the air.

# %% [markdown]
# ### The rule for a skin
#
# loss = U × skin × (water − air)
#
# **U** is the loss for each square metre and each degree of difference. It holds
# convection and radiation together. A **kelvin** (K) is a degree of difference.
#
# **Worked number.** A pipe 1.0 m long and 15 mm thick, U = 25 W/(m²·K), water 45 °C,
# air 15 °C.
#
# 1. Skin: π × 0.015 m × 1.0 m = 0.0471 m².
# 2. Difference: 45 − 15 = 30 K.
# 3. Loss: 25 × 0.0471 × 30 = 35 W.

# %% [markdown]
# ## Exercises, first part
#
# ### 1 Which ways?
#
# By which ways does the **black pipe** give most of its heat away? Pick all that
# matter.
#
# - a: the moving air carries it away (convection)
# - b: it shines away as invisible light (radiation)
# - c: water evaporates from the pipe
# - d: it flows through the air gap into the mirror (conduction)

# %% answer="modes"
### START modes = ""
### BEGIN SOLUTION
modes = "a, b"
### END SOLUTION

# %% check="heat_loss.modes" points=1
check("heat_loss.modes", modes)

# %% [markdown]
# ### 2 What the pipe loses
#
# Your pipe is 22 mm thick. Its length, the warm water, the air and U are on your card.
# **How many watts does the pipe lose?** The whole length is hot, also where no light
# falls.

# %% answer="pipe_loss"
### START pipe_loss = ""
### BEGIN SOLUTION
from math import pi

skin = pi * 0.022 * my.pipe_length
pipe_loss = f"{my.loss_coefficient * skin * (my.water_temp - my.air_temp):.2f} W"
### END SOLUTION

# %% check="heat_loss.pipe_loss" points=2
check("heat_loss.pipe_loss", pipe_loss)

# %% [markdown]
# ### 3 What is left for the water
#
# **Efficiency** is the useful share of the sun's power:
#
# efficiency = (what the pipe takes up − what it loses) ÷ sun through the opening
#
# **How large is it for your warm pipe?** Leave the pot out. Write `40 %` or `0.40`. Your
# own loss from exercise 2 counts.

# %% answer="useful_share"
### START useful_share = ""
### BEGIN SOLUTION
from math import pi

lost = my.loss_coefficient * pi * 0.022 * my.pipe_length * (my.water_temp - my.air_temp)
useful_share = f"{(my.absorbed - lost) / my.power_in:.4f}"
### END SOLUTION

# %% check="heat_loss.useful_share" points=2
check("heat_loss.useful_share", useful_share)

# %% [markdown]
# ## Explore: where do 472 watts go?
#
# One bar splits up: mirror, missed, paint, wind, radiation, pot, useful. Make the water
# warmer. Then let the wind blow. At last try glass, and a coat with a low emittance.
#
# (The bar starts a little above 472 W: the pipe itself also stands in the sun.)

# %% explorer="where_watts_go"
explorers.explore_where_watts_go(question=predict("heat_loss.where_watts"))

# %% [markdown]
# **Did you see it?** In a breeze the useful part shrinks to almost nothing, long before
# the water boils. The sun's part stays the same; the losses grow with every degree.
# Where both are equal, the water gets no warmer. That is the **plateau**.
#
# Second surprise: a “better” black, which shines less, is good for warm water. But it
# makes a pipe **without** water far hotter. The next cell prints both.

# %%
ladle = geometry.Parabola(focal_length=0.170, aperture_width=0.640)
share = optics.intercept_factor(ladle, 0.022, slope_error_mrad=8, misaim_deg=1)
power = optics.pipe_power(ladle, 0.022, 0.9, 1.4, 820, 0.82, 0.92, share, incidence_deg=10).total
for wind in (0.0, 0.9, 3.0):
    for water in (40, 60, 80):
        lost = 1.4 * heat.loss_per_metre(0.022, water, 22, wind, 0.9) + 1.2 * (water - 22)
        print(f"wind {wind} m/s, water {water} °C: {max(power - lost, 0):4.0f} W useful")
for words, emittance in (("black paint", 0.9), ("selective coat", 0.1)):
    dry = heat.dry_pipe_c(387, 0.022, 22, 0.0, emittance)
    print(f"dry pipe, no wind, {words}: {units.show(dry, 'degC', 3)}")

# %% [markdown]
# ### Paint and glass
#
# - Bright copper takes up only a quarter of the light, flat black paint 92 %. That share is
#   the **absorptance**. Use paint made for hot metal, in thin coats, and harden it as its
#   tin says, never with a dry pipe in the sun. Fresh paint smokes: outdoors, stay upwind.
# - A **glass tube** round the pipe costs a tenth of the light and stops the wind. For the
#   Ladle it pays above about 40 °C in a light breeze, above 70 °C in still air. From 18 to
#   55 °C it saves no time. Ordinary glass can shatter: guard it.

# %% [markdown]
# ### And the hoses
#
# Two bare hoses of 1.2 m lose at least as much as the pipe. The sums of this course leave them
# out. So lag them, or your water warms more slowly than the course says.

# %% [markdown]
# ## Exercises, second part
#
# ### 4 The falling share
#
# During a test the water gets warmer, and the efficiency falls. **Why?**
#
# - a: the sun gets weaker during the test
# - b: losses grow with the difference between water and air
# - c: warm water is harder to heat than cold water
# - d: the paint takes up less when it is hot

# %% answer="why_falls"
### START why_falls = ""
### BEGIN SOLUTION
why_falls = "b"
### END SOLUTION

# %% check="heat_loss.why_falls" points=1
check("heat_loss.why_falls", why_falls)

# %% [markdown]
# ### 5 A pipe without water
#
# Somebody forgets to fill the pipe and leaves it in the sun. It heats up until it loses
# as much as it takes up. Copper carries heat only a hand's width along, so each **lit
# metre** must balance by itself:
#
# power per metre = U × π × 0.022 m × (pipe − air)
#
# **How hot does the pipe get?** Power per metre and U of the dry pipe are on your card.

# %% answer="dry_temp"
### START dry_temp = ""
### BEGIN SOLUTION
from math import pi

dry_temp = f"{my.air_temp + my.dry_power / (my.dry_coefficient * pi * 0.022):.1f} degC"
### END SOLUTION

# %% check="heat_loss.dry_temp" points=2
check("heat_loss.dry_temp", dry_temp)

# %% [markdown]
# ### 6 Dry, and no wind
#
# The Ladle stands dry in 800 W/m² of sun, black paint, still air. **Which is nearest**
# for the middle of its pipe?
#
# - a: about 60 °C
# - b: about 100 °C
# - c: about 250 °C
# - d: about 1000 °C

# %% answer="dry_nearest"
### START dry_nearest = ""
### BEGIN SOLUTION
dry_nearest = "c"
### END SOLUTION

# %% check="heat_loss.dry_nearest" points=1
check("heat_loss.dry_nearest", dry_nearest)

# %% [markdown]
# ### 7 A better black
#
# A **selective** coat takes up as much light as black paint, but shines away only a
# ninth as much heat. **What happens to a dry pipe with it?**
#
# - a: it gets hotter than with black paint
# - b: it stays cooler than with black paint
# - c: it gets just as hot

# %% answer="better_black"
### START better_black = ""
### BEGIN SOLUTION
better_black = "a"
### END SOLUTION

# %% check="heat_loss.better_black" points=1
check("heat_loss.better_black", better_black)

# %% [markdown]
# ## Explore: lid or lagging?
#
# **Lagging** is a thick coat that holds still air, such as felt or mineral wool. Guess
# first, then compare: lid on and off, lagging thin and thick, calm and windy.

# %% explorer="lid_or_lagging"
explorers.explore_lid_or_lagging(question=predict("heat_loss.lid"))

# %% [markdown]
# **Did you see it?** The lid beats the second layer. Open water loses most by
# evaporating, and lagging round the side cannot stop that. Once the lid is on, the first
# layer of lagging helps much, and the next one little.
#
# A lid is not a stopper: the pot keeps its open vent, always.

# %%
tries = (
    ("bare and open", False, 0),
    ("20 mm of lagging, open", False, 0.020),
    ("40 mm of lagging, open", False, 0.040),
    ("lid only", True, 0),
    ("lid and 20 mm", True, 0.020),
    ("lid and 40 mm", True, 0.040),
)
for words, lid, lagging in tries:
    pot = heat.Pot(lid=lid, insulation=lagging)
    after = heat.cooling_curve(pot, 60, [3 * 3600], 20, wind=0.5)[0]
    print(f"{words}: 60 °C is {units.show(after, 'degC', 3)} after 3 h")

# %% [markdown]
# ## Exercises, third part
#
# ### 8 What to buy first
#
# The pot is open and has one layer of lagging. **What helps most?**
#
# - a: a second layer of lagging round the open pot
# - b: a lid
# - c: a pot of thicker steel
# - d: a woollen cloth under the pot, because heat sinks

# %% answer="lid_first"
### START lid_first = ""
### BEGIN SOLUTION
lid_first = "b"
### END SOLUTION

# %% check="heat_loss.lid_first" points=1
check("heat_loss.lid_first", lid_first)

# %% [markdown]
# ### 9 What your pot loses
#
# A pot cools quickly at first, then slower and slower. From two readings you find its
# loss for each kelvin above the air:
#
# loss per kelvin = mass × 4186 × ln(ratio) ÷ time
#
# ratio = (start − air) ÷ (end − air)
#
# 4186 J warm 1 kg of water by 1 K. Time is in **seconds**. On a calculator `ln` is the
# natural logarithm. **How much does your pot lose?** Write it like `2.5 W/K`.

# %% answer="loss_rate"
### START loss_rate = ""
### BEGIN SOLUTION
from math import log

ratio = (my.hot_start - my.air_temp) / (my.cool_end - my.air_temp)
loss_rate = f"{my.water_mass * 4186 * log(ratio) / my.cooling_time:.4f} W/K"
### END SOLUTION

# %% check="heat_loss.loss_rate" points=2
check("heat_loss.loss_rate", loss_rate)

# %% [markdown]
# ### 10 Half of the warmth
#
# The **half-life** is the time in which the difference to the air halves. It is the same
# in the first hours and in the last:
#
# half-life = 0.693 × mass × 4186 ÷ loss per kelvin
#
# **How long is it for your pot?** Your own loss from exercise 9 counts.

# %% answer="half_life"
### START half_life = ""
### BEGIN SOLUTION
from math import log

ratio = (my.hot_start - my.air_temp) / (my.cool_end - my.air_temp)
half_life = f"{log(2) / log(ratio) * my.cooling_time / 3600:.4f} h"
### END SOLUTION

# %% check="heat_loss.half_life" points=1
check("heat_loss.half_life", half_life)

# %% [markdown]
# ### 11 One step in time
#
# Computers follow a warming pot in small steps. In each step the temperature changes by
#
# (power − loss) × time ÷ heat capacity
#
# Write `step(temp, dt_s)`: the temperature after a step of `dt_s` seconds. The four
# numbers of this pot stand above the function.
#
# *Slide:* type the rule into the box, with numbers in place of the names in capitals.
# *Tweak:* change only the marked line. *Code:* write it anew.

# %% answer="step"
POWER = 350  # taken up [W]
LOSS = 4  # for each kelvin above the air [W/K]
CAPACITY = 26000  # heat capacity of water, pipe and pot [J/K]
AIR = 20  # [°C]


def step(temp, dt_s):
    ### START change = POWER * dt_s / CAPACITY  # change only this line
    ### BEGIN SOLUTION
    change = (POWER - LOSS * (temp - AIR)) * dt_s / CAPACITY
    ### END SOLUTION
    return temp + change


# %% check="heat_loss.step" points=3
check("heat_loss.step", step)

# %% [markdown]
# ### Hot is not the same as much heat
#
# **Temperature** tells how hot a thing is. **Heat** is energy on the move; how much a thing
# has taken up depends on its mass and its material too.
#
# One kilogram of copper takes up 385 J for each degree, one of water 4186 J. The Ladle's
# copper pipe weighs about three quarters of a kilogram, its water 6 kg.
#
# Your hand is no thermometer either. Metal feels colder than wood in the same room, because
# it leads heat away from your skin faster.

# %% [markdown]
# ### 12 Back to your first guess
#
# In lesson 00 you guessed: which is warmer after an hour in the Ladle, the black pipe
# with water or without? **Write what you think now, and why.** Two or three sentences. A
# person reads and marks them; the check only tells which points it sees.

# %% write="revisit" points=2
# The pipe without water gets much hotter, because nothing carries the heat away from
# it. It heats up until its losses equal what comes in. But temperature is not the same
# as heat: the cooler water holds far more energy than the hot empty pipe.

# %% check="heat_loss.revisit"
check("heat_loss.revisit")

# %% [markdown]
# ## Hands-on: two pots
#
# 1. Two equal pots, the same amount of warm **tap** water, 45 °C at most.
# 2. Lid on one, the other open. Log both every 5 minutes for 30 minutes; stir first.
# 3. Then both with a lid, a fan in front of one. Log again.
# 4. Work out the loss per kelvin for each, as in exercise 9.
#
# Which mattered more, lid or wind? Note also what you did **not** keep equal. Weather
# does not matter: this is an indoor test.

# %% [markdown]
# ## Safety
#
# > Water of 45 °C or less, from the tap, no flame and no cooker. Wipe up spills at once.
# > Keep the fan, its cable and all plugs away from the water.
# >
# > Never try the dry pipe. Solder, paint, hose and wood fail long before its end
# > temperature, and never pour cold water into a hot dry pipe: it bursts into steam. An
# > ordinary glass tube can shatter.
# >
# > An adult is in charge; school and local rules come first. A right answer here is a
# > finished exercise, not a permission to build.

# %% [markdown]
# ## Key points
#
# - Loss = U × skin × difference to the air. Wind raises U.
# - The warmer the water, the lower the efficiency. At the plateau nothing is left.
# - A dry pipe does not stop at 100 °C. A better black makes it hotter.
# - First the lid, then one layer of lagging, then shelter from the wind.
#
# **Words.** *Convection*, *radiation*, *conduction*, *evaporation*: the four ways out.
# *Emittance*: how much a surface shines, 0 to 1. *Kelvin*: one degree of difference.
# *U*: loss for each square metre and kelvin. *Efficiency*: useful share. *Plateau*: where
# gain and loss are equal. *Lagging*: coat of still air. *Half-life*: time to half the
# difference.

# %% [markdown]
# More words: [glossary](glossary.md). Next: [05 Heating test](05_heating_test.ipynb).
