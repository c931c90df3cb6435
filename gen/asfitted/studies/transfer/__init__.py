"""What happens when the supply goes and comes: gaps, what rides through, who carries the load, motor starts."""
