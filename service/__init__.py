"""Sites a gas-fired tankless water heater: where it hangs, where it vents, what it costs."""

__version__ = "0.1.0"
ENGINE = "heater-siting"
"""Name by which answers call the service."""
