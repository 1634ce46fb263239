"""The drift watch: whether tanks drift apart in anything but the change, from the diary, while the trial runs."""
