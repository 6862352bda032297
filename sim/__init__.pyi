# The same names for type checkers, which do not follow the lazy import.
from sim.notebook import House as House
from sim.notebook import Picture as Picture
from sim.notebook import Played as Played
from sim.notebook import Scheme as Scheme
from sim.notebook import contact_sheet as contact_sheet
from sim.notebook import film as film
from sim.notebook import load_house as load_house
from sim.notebook import load_scheme as load_scheme
from sim.notebook import picture as picture
from sim.notebook import play as play
from sim.notebook import power as power
