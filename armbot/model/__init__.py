"""Frozen data types; they know nothing of clocks, disks or networks."""
