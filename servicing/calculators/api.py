"""Where the calculators answer."""

from servicing.calculators.calculator import addresses_of

urlpatterns = addresses_of([])
