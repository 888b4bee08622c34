"""Engineering: pure calculation for threads and steam.

Floats in SI in, frozen dataclasses out. Pressures are absolute pascals unless a name says
otherwise; lengths are metres, angles radians, temperatures kelvin, flows kilograms a second.
Nothing here knows of the web, the database, the clock or the user's own words. Every function
names its source, and every result carries the workings from which it can be checked by hand.
"""
