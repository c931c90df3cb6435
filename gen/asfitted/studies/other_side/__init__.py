"""The same loads on the other side of the Atlantic: its voltage, frequency, supply, devices and sizes chosen anew."""
