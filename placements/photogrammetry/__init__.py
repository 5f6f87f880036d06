"""Measuring by photograph: a phone's picture of a flat wall or floor becomes millimetres, with the error stated.

Framework-free: NumPy, SciPy, OpenCV and Pillow. The steps, each a module:

1. `card`: the printed reference card, and finding it in the picture.
2. `camera`: a pinhole camera with one radial distortion term, looking at a plane.
3. `solve`: the camera from everything of known size in the plane, with its covariance.
4. `frames`: rectangles that may be frames, with subpixel corners.
5. `reading`: all of these on one photograph.
6. `matching`: which work each rectangle is.
7. `composite`: works set into the client's own photo.

Plane coordinates are millimetres, x right, y up, like the engine's; pixel coordinates have their origin in the centre
of the top left pixel, x right, y down, like OpenCV's.
"""
