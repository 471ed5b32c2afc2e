"""The arithmetic of the arm: plain functions, no clock, no disk, no network."""
