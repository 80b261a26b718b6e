"""The refrigerant side: saturation, superheat and subcooling, targets, the cycle, candidate causes.

Plain functions on numbers and arrays, SI inside. The small tables that they read come with the
package; CoolProp, from which `airside.refrigerant.make_tables` made them, is not loaded for a result.
"""

from airside.refrigerant.names import REFRIGERANTS, Refrigerant, UnknownRefrigerantError, find_refrigerant

__all__ = ["REFRIGERANTS", "Refrigerant", "UnknownRefrigerantError", "find_refrigerant"]
