"""armbot: sourced, careful answers for the families of young throwing athletes."""

__version__ = "0.1.0"
