"""The few constants that every floor needs, each once."""

INCH = 0.0254  # one inch [m], exactly (ISO 80000-3)
POUND = 0.45359237  # one pound [kg], exactly (ISO 80000-4)
POUND_PER_SQUARE_INCH = 6894.757293168361  # one pound-force per square inch [Pa] (ISO 80000-4)
MEGAPASCAL = 1e6  # one megapascal [Pa]
CELSIUS = 273.15  # 0 degC [K], exactly (ISO 80000-5)
LEAST_FLOW, MOST_FLOW = 1e-3 / 60e3, 10.0  # steam reckoned with, from a milligram a minute [kg/s]
ATMOSPHERE = 101_325.0  # standard atmosphere [Pa], the zero of every gauge pressure here (ISO 2533)
