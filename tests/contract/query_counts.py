"""How many database queries each read takes, the token's own included; more rows must not take more.

Exports are left out: each is one statement, which on PostgreSQL goes past the place where queries are counted.
"""

TABLE = """
operator                                                   1
caller                                                     1
people                                                     2
people/<uuid:person_id>                                    2
people/<uuid:person_id>/tokens                             3
type-sheets                                                2
type-sheets/<uuid:sheet_id>                                2
aircraft                                                   5
aircraft/<uuid:aircraft_id>                                5
struts                                                     3
struts/<uuid:part_id>                                      3
struts/<uuid:part_id>/installations                        3
strut-installations/<uuid:installation_id>                 2
tyres                                                      3
tyres/<uuid:part_id>                                       3
tyres/<uuid:part_id>/installations                         3
tyre-installations/<uuid:installation_id>                  2
audit                                                      2
equipment                                                  2
equipment/<uuid:equipment_id>                              2
equipment/<uuid:equipment_id>/pressures                    3
usage                                                      2
aircraft/<uuid:aircraft_id>/totals                         3
readings                                                   2
readings/<uuid:reading_id>                                 2
tyre-readings                                              2
tyre-readings/<uuid:reading_id>                            2
servicings                                                 2
servicings/<uuid:servicing_id>                             2
struts/<uuid:strut_id>/life                                7
tyres/<uuid:tyre_id>/life                                  6
equipment/<uuid:equipment_id>/outlook                      8
top-ups                                                    2
top-ups/<uuid:top_up_id>                                   11
imports                                                    2
imports/<uuid:import_id>                                   2
records                                                    3
records/chain                                              3
records/<uuid:entry_id>                                    3
records/<uuid:entry_id>/entry.pdf                          4
records/<uuid:entry_id>/entry.txt                          4
reinspections                                              4
reinspections/calendar                                     1
reinspections/<uuid:reinspection_id>                       4
alerts                                                     2
alerts/<uuid:alert_id>                                     2
alerts/<uuid:alert_id>/events                              3
outbox                                                     2
standings/struts                                           3
struts/<uuid:part_id>/standing                             4
struts/<uuid:part_id>/history                              6
struts/<uuid:part_id>/trend                                11
struts/<uuid:part_id>/chart.svg                            6
standings/tyres                                            2
tyres/<uuid:part_id>/standing                              4
tyres/<uuid:part_id>/history                               6
tyres/<uuid:part_id>/trend                                 10
tyres/<uuid:part_id>/chart.svg                             6
backtest.csv                                               9
dispatch                                                   12
dispatch/<str:registration>                                12
units                                                      1
"""


def query_counts() -> dict[str, int]:
    """Return the count by "GET address"."""
    return {f"GET {address}": int(count) for address, count in map(str.split, TABLE.strip().splitlines())}
