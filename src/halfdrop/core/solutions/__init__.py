"""Making up: amounts for a class, what to weigh and measure, what rinsing leaves behind."""
