"""What one unit is in another, wherever a sheet, a booking or a gauge says it in its own."""

from decimal import Decimal

PSI_IN_BAR = Decimal("14.503773773")  # NIST SP 811 (2008), B.8: 1 psi = 6 894.757 Pa
CUFT_IN_LITRES = Decimal("28.316846592")  # by definition: (0.3048 m)^3
