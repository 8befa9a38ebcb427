"""One night, simulated: what starts when, what waits for what, and what that costs the pictures. No USB here."""
