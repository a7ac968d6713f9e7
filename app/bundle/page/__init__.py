"""The page the athlete opens."""
