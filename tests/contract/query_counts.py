"""How many database queries each read takes, the token's own included; more rows must not take more."""

TABLE = """
"""


def query_counts() -> dict[str, int]:
    """Return the count by "GET address"."""
    return {f"GET {address}": int(count) for address, count in map(str.split, TABLE.strip().splitlines())}
