"""What a published procedure is, how it is read, and whether it hangs together."""
