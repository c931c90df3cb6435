"""Every fault in every operating state: what flows, what opens, what a person feels, what stays live."""
