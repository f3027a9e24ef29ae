"""Where the calculators answer."""

from servicing.calculators import strut_correction
from servicing.calculators.calculator import addresses_of

urlpatterns = addresses_of(strut_correction.CALCULATORS)
