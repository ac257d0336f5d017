"""The results of ``melodex.finder`` as pandas DataFrames: the public Python API.

Its modules load pandas, so nothing imports one until a table is needed.
"""
