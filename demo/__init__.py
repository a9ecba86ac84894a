"""The invented studio: its data (studio.json) and the loader that makes a studio file of it."""
