"""A drawn house from a few measurements, its roof named by the trade's word for it."""

from layouts.forms.house import drawn_form, house_of_form
from layouts.forms.measures import FormMeasures
from layouts.forms.usual import FORMS

__all__ = ["FORMS", "FormMeasures", "drawn_form", "house_of_form"]
