"""The invented demo club: Tollmere Flying Club, its aircraft, weather, habits and troubles."""
