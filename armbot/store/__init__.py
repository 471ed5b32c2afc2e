"""Where family records are kept: the contract, and the stores that honour it."""
