"""The screens: the walk, the replay and the choice of a job."""
