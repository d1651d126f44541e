"""Physical constants: each once, unit in the name, source on the line.

The values of the standard atmosphere are those of the standard itself, so that its printed tables are reproduced; later
measurements of the same quantity are not mixed in.
"""

from __future__ import annotations

# Units the sources of kernel formulae are written in. Text from users is converted in units.py, not here.
FT_M = 0.3048  # international foot, exact: NIST SP 811, appendix B
NMI_M = 1852.0  # international nautical mile, exact: NIST SP 811, appendix B
KT_M_PER_S = NMI_M / 3600.0  # nautical mile per hour
LB_KG = 0.45359237  # avoirdupois pound, exact: NIST SP 811, appendix B
KELVIN_AT_0_DEGC = 273.15  # exact: definition of the Celsius scale, SI brochure, 9th edition

STANDARD_GRAVITY_M_PER_S2 = 9.80665  # exact: 3rd General Conference on Weights and Measures, 1901
MERCURY_DENSITY_KG_PER_M3 = 13595.1  # conventional, at 0 degC: ISO 80000-4 (conventional millimetre of mercury)
INHG_PA = MERCURY_DENSITY_KG_PER_M3 * STANDARD_GRAVITY_M_PER_S2 * FT_M / 12.0  # inch of mercury at 0 degC
LBF_N = LB_KG * STANDARD_GRAVITY_M_PER_S2  # pound-force: NIST SP 811, appendix B

# U.S. Standard Atmosphere, 1976 (NOAA-S/T 76-1562), section 1.2; the ICAO atmosphere (Doc 7488) is the same here.
SEA_LEVEL_PRESSURE_PA = 101325.0
SEA_LEVEL_TEMPERATURE_K = 288.15
TEMPERATURE_LAPSE_K_PER_M = -0.0065  # troposphere, per metre of geopotential altitude
TROPOPAUSE_ALTITUDE_M = 11000.0  # geopotential
UNIVERSAL_GAS_CONSTANT_J_PER_KMOL_K = 8314.32  # the standard's own value, not today's
AIR_MOLAR_MASS_KG_PER_KMOL = 28.9644
AIR_GAS_CONSTANT_J_PER_KG_K = UNIVERSAL_GAS_CONSTANT_J_PER_KMOL_K / AIR_MOLAR_MASS_KG_PER_KMOL
HEAT_CAPACITY_RATIO = 1.4  # of air
STANDARD_EARTH_RADIUS_M = 6356766.0  # effective radius relating geopotential to geometric altitude
SEA_LEVEL_DENSITY_KG_PER_M3 = SEA_LEVEL_PRESSURE_PA / (AIR_GAS_CONSTANT_J_PER_KG_K * SEA_LEVEL_TEMPERATURE_K)

WATER_VAPOUR_GAS_CONSTANT_J_PER_KG_K = 461.495  # 8314.32 / 18.016: Smithsonian Meteorological Tables, 6th edition
