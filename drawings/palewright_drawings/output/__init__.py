"""What every writer and command uses: folders that stand whole or not at all, streams, progress.

What the maker changed in a packet (another hash than the manifest's) is kept beside it when the
next takes its place.
"""
