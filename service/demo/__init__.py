"""An invented customer, commission and plant, so that a newcomer sees the whole job at once."""
