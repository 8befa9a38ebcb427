"""What the links carry, and what that does to each device: plain arithmetic on resources and flows. No USB here."""
