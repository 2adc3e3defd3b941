"""The film: one configuration, or two under the same camera on the same road.

story.py     what every frame shows: states, turn angles, numbers
view.py      the camera that suits all of it, and where labels find room
closing.py   the three numbers at the end, and what they cost
dials.py     instruments: joint angles, spline, trace
frame.py     one frame, from a story
painters.py  processes that paint frames side by side
encode.py    frames into H.264 and GIF
film.py      all of it
"""
