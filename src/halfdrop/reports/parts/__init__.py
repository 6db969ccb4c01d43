"""The parts of a report on a result: each a function from the answer to sections."""
