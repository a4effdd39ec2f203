"""The panel that reads a survey and puts the wall into the job.

Notes
-----
The panel holds a draft of one wall, not the job's result: the wall as it stands, loose plaster still on it,
fallen plaster gone. It saves only what the whole chain can price, file and entry together or neither. High
spots and a given turn were read off one plane: with another file they leave their rows unless the user says
otherwise; sweeps and a corner's readings are of the wall itself and stay.
"""
