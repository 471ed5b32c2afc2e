"""Puts this folder on the import path, so that every test folder can share its helpers.

Pytest adds the folder of a conftest.py that is no package; nothing else is done here, and
no fixture runs by itself.
"""
