"""One function per thing a person can ask."""
