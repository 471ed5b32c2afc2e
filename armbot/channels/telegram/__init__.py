"""Families on Telegram: what they write is received here, and what the bot says is sent."""
