"""What the generated OpenAPI document says about the service as a whole."""

SPECTACULAR_SETTINGS = {
    "TITLE": "Undercart",
    "DESCRIPTION": (
        "Keeps the landing-gear struts and tyres of a flying club's aircraft right: readings are corrected for "
        "temperature, load and friction, judged against the type sheet's limits, watched for loss of gas or fluid, "
        "and turned into reinspections, alerts and maintenance-record drafts.\n\n"
        "It advises. It never declares an aircraft airworthy: the aircraft's own maintenance manual, local rules and "
        "licensed practice decide."
    ),
    "VERSION": "1",
    "OAS_VERSION": "3.1.1",
    "LICENSE": {"name": "Apache-2.0", "identifier": "Apache-2.0"},
    "SCHEMA_PATH_PREFIX": r"/api/v1",
    "SERVE_INCLUDE_SCHEMA": False,
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "SWAGGER_UI_SETTINGS": {"persistAuthorization": True, "displayRequestDuration": True, "docExpansion": "none"},
    "COMPONENT_SPLIT_REQUEST": True,
    "SORT_OPERATIONS": False,
    "POSTPROCESSING_HOOKS": [
        "drf_spectacular.hooks.postprocess_schema_enums",
        "fleet.web.schema_errors.add_problem_answers",
        "deploy.examples.add_examples",
    ],
    # Fields of one name in several shapes, each with choices of its own.
    "ENUM_NAME_OVERRIDES": {
        "CalculatorGas": "servicing.calculators.fields.GAS_NAMES",
        "EquipmentKind": "fleet.equipment.models.EquipmentKind",
        "FillGas": "fleet.aircraft.models.FillGas",
        "ImportKind": "servicing.exchange.models.ImportKind",
        "ImportState": "servicing.exchange.models.ImportState",
        "RecordState": ["draft", "completed", "discarded"],
        "TopUpState": ["running", "paused", "finished"],
        "LegPosition": "fleet.aircraft.models.Position",
        "ServicingStage": "servicing.calculators.safety.STAGES",
        "SheetPosition": "fleet.aircraft.models.SheetPosition",
        "Finding": "servicing.alerts.shapes.FINDINGS",
        "PressureVerdict": "servicing.readings.strut_answers.VERDICTS",
        "Readiness": "servicing.dispatch.shapes.READINESS",
    },
    "APPEND_COMPONENTS": {
        "securitySchemes": {"bearerToken": {"type": "http", "scheme": "bearer", "bearerFormat": "opaque"}}
    },
}
