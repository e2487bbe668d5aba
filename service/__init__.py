"""Sites a gas-fired tankless water heater: where it hangs, where it vents, what it costs."""

__version__ = "0.1.0"
