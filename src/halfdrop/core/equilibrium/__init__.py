"""What happens in the flask: acids and bases, complexes, couples, sparingly soluble salts; indicators."""
