"""Who may do what: method, address, lowest role, and the scope that the token needs.

Everybody reads; members send what they saw; mechanics do and record work and keep gear; coordinators keep
fleet, people and settings, and decide what may wait.
"""

TABLE = """
GET    operator                                                   reader      read
PATCH  operator                                                   coordinator manage
GET    caller                                                     reader      read
GET    people                                                     reader      read
POST   people                                                     coordinator manage
GET    people/<uuid:person_id>                                    reader      read
PATCH  people/<uuid:person_id>                                    coordinator manage
GET    people/<uuid:person_id>/tokens                             coordinator read
POST   people/<uuid:person_id>/tokens                             coordinator manage
POST   tokens/<uuid:token_id>/revocation                          coordinator manage
GET    type-sheets                                                reader      read
POST   type-sheets                                                coordinator manage
GET    type-sheets/<uuid:sheet_id>                                reader      read
PATCH  type-sheets/<uuid:sheet_id>                                coordinator manage
GET    aircraft                                                   reader      read
POST   aircraft                                                   coordinator manage
GET    aircraft/<uuid:aircraft_id>                                reader      read
PATCH  aircraft/<uuid:aircraft_id>                                coordinator manage
POST   aircraft/<uuid:aircraft_id>/legs                           coordinator manage
PATCH  aircraft/<uuid:aircraft_id>/legs/<uuid:leg_id>             coordinator manage
GET    struts                                                     reader      read
POST   struts                                                     mechanic    work
GET    struts/<uuid:part_id>                                      reader      read
PATCH  struts/<uuid:part_id>                                      mechanic    work
GET    struts/<uuid:part_id>/installations                        reader      read
POST   struts/<uuid:part_id>/installations                        mechanic    work
GET    strut-installations/<uuid:installation_id>                 reader      read
PATCH  strut-installations/<uuid:installation_id>                 mechanic    work
DELETE strut-installations/<uuid:installation_id>                 mechanic    work
POST   struts/<uuid:part_id>/removal                              mechanic    work
POST   struts/<uuid:part_id>/move                                 mechanic    work
POST   struts/<uuid:part_id>/swap                                 mechanic    work
POST   struts/<uuid:part_id>/replacement                          mechanic    work
GET    tyres                                                      reader      read
POST   tyres                                                      mechanic    work
GET    tyres/<uuid:part_id>                                       reader      read
PATCH  tyres/<uuid:part_id>                                       mechanic    work
GET    tyres/<uuid:part_id>/installations                         reader      read
POST   tyres/<uuid:part_id>/installations                         mechanic    work
GET    tyre-installations/<uuid:installation_id>                  reader      read
PATCH  tyre-installations/<uuid:installation_id>                  mechanic    work
DELETE tyre-installations/<uuid:installation_id>                  mechanic    work
POST   tyres/<uuid:part_id>/removal                               mechanic    work
POST   tyres/<uuid:part_id>/move                                  mechanic    work
POST   tyres/<uuid:part_id>/swap                                  mechanic    work
POST   tyres/<uuid:part_id>/replacement                           mechanic    work
GET    audit                                                      coordinator read
GET    equipment                                                  reader      read
POST   equipment                                                  coordinator manage
GET    equipment/<uuid:equipment_id>                              reader      read
PATCH  equipment/<uuid:equipment_id>                              coordinator manage
GET    equipment/<uuid:equipment_id>/pressures                    reader      read
POST   equipment/<uuid:equipment_id>/pressures                    member      report
GET    usage                                                      reader      read
POST   usage                                                      member      report
POST   usage/batch                                                member      report
POST   usage/<uuid:usage_id>/corrections                          member      report
GET    aircraft/<uuid:aircraft_id>/totals                         reader      read
GET    readings                                                   reader      read
POST   readings                                                   member      report
POST   readings/batch                                             member      report
GET    readings/<uuid:reading_id>                                 reader      read
POST   readings/<uuid:reading_id>/corrections                     member      report
POST   readings/<uuid:reading_id>/withdrawal                      member      report
GET    tyre-readings                                              reader      read
POST   tyre-readings                                              member      report
POST   tyre-readings/batch                                        member      report
GET    tyre-readings/<uuid:reading_id>                            reader      read
POST   tyre-readings/<uuid:reading_id>/corrections                member      report
POST   tyre-readings/<uuid:reading_id>/withdrawal                 member      report
GET    servicings                                                 reader      read
POST   servicings                                                 mechanic    work
POST   servicings/batch                                           mechanic    work
GET    servicings/<uuid:servicing_id>                             reader      read
POST   servicings/<uuid:servicing_id>/corrections                 mechanic    work
GET    struts/<uuid:strut_id>/life                                reader      read
GET    tyres/<uuid:tyre_id>/life                                  reader      read
GET    equipment/<uuid:equipment_id>/outlook                      reader      read
GET    top-ups                                                    reader      read
POST   top-ups                                                    mechanic    work
GET    top-ups/<uuid:top_up_id>                                   reader      read
PATCH  top-ups/<uuid:top_up_id>                                   mechanic    work
POST   top-ups/<uuid:top_up_id>/doses                             mechanic    work
POST   top-ups/<uuid:top_up_id>/looks                             mechanic    work
POST   top-ups/<uuid:top_up_id>/pause                             mechanic    work
POST   top-ups/<uuid:top_up_id>/finish                            mechanic    work
GET    records                                                    reader      read
POST   records                                                    mechanic    work
GET    records/chain                                              reader      read
GET    records/<uuid:entry_id>                                    reader      read
PATCH  records/<uuid:entry_id>                                    mechanic    work
DELETE records/<uuid:entry_id>                                    mechanic    work
POST   records/<uuid:entry_id>/completion                         mechanic    work
POST   records/<uuid:entry_id>/amendments                         mechanic    work
GET    records/<uuid:entry_id>/entry.pdf                          reader      read
GET    records/<uuid:entry_id>/entry.txt                          reader      read
GET    reinspections                                              reader      read
POST   reinspections                                              mechanic    work
GET    reinspections/calendar                                     reader      read
GET    reinspections/<uuid:reinspection_id>                       reader      read
POST   reinspections/<uuid:reinspection_id>/put-off               mechanic    work
POST   reinspections/<uuid:reinspection_id>/closing               coordinator work
GET    alerts                                                     reader      read
GET    alerts/<uuid:alert_id>                                     reader      read
GET    alerts/<uuid:alert_id>/events                              reader      read
POST   alerts/<uuid:alert_id>/acknowledgement                     mechanic    work
POST   alerts/<uuid:alert_id>/put-off                             coordinator work
GET    outbox                                                     coordinator manage
POST   outbox/<uuid:mail_id>/retry                                coordinator manage
GET    standings/struts                                           reader      read
GET    struts/<uuid:part_id>/standing                             reader      read
GET    struts/<uuid:part_id>/history                              reader      read
GET    struts/<uuid:part_id>/trend                                reader      read
GET    struts/<uuid:part_id>/chart.svg                            reader      read
GET    standings/tyres                                            reader      read
GET    tyres/<uuid:part_id>/standing                              reader      read
GET    tyres/<uuid:part_id>/history                               reader      read
GET    tyres/<uuid:part_id>/trend                                 reader      read
GET    tyres/<uuid:part_id>/chart.svg                             reader      read
GET    dispatch                                                   reader      read
GET    dispatch/<str:registration>                                reader      read
GET    imports                                                    reader      read
POST   imports                                                    member      report
GET    imports/<uuid:import_id>                                   reader      read
GET    exports/readings.csv                                       reader      read
GET    exports/tyre-readings.csv                                  reader      read
GET    exports/servicings.csv                                     reader      read
GET    exports/usage.csv                                          reader      read
GET    exports/struts.csv                                         reader      read
GET    exports/alerts.csv                                         reader      read
GET    exports/reinspections.csv                                  reader      read
POST   calculations/strut/correction                              reader      read
"""


def permissions() -> dict[str, tuple[str, str]]:
    """Return lowest role and scope by "METHOD address"."""
    lines = [line.split() for line in TABLE.strip().splitlines()]
    return {f"{method} {address}": (role, scope) for method, address, role, scope in lines}
