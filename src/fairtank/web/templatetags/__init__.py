"""What templates can say beyond Django: numbers with their unit, days, arms."""
