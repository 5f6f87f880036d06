"""The camera and its solution, against OpenCV's and scikit-image's own solvers and a case worked by hand."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
import skimage.data
from skimage.transform import ProjectiveTransform

from placements.photogrammetry.camera import View, first_guess, plane_homography
from placements.photogrammetry.errors import NotMeasurable
from placements.photogrammetry.reading import KnownRectangle, fit_photo
from placements.photogrammetry.solve import Figure, plus_minus, solve

VIEW = View(2000, 1500)
SHEET = np.array([(0, 297), (210, 297), (210, 0), (0, 0)], float)


def camera(turn=(0.25, -0.2, 0.05), at=(-100.0, 140.0, 900.0), focal=0.8, k1=-0.04) -> np.ndarray:
    """A camera whose picture shows the plane upright: its y runs against the plane's."""
    upright = cv2.Rodrigues(np.array([np.pi, 0, 0.0]))[0]
    rotation = cv2.Rodrigues(np.array(turn))[0] @ upright
    return np.concatenate([cv2.Rodrigues(rotation)[0].ravel(), at, [np.log(focal), k1]])


def homography_px(one: np.ndarray) -> np.ndarray:
    focal = np.exp(one[6]) * VIEW.scale
    inner = np.array([[focal, 0, VIEW.centre[0]], [0, focal, VIEW.centre[1]], [0, 0, 1]])
    found = inner @ plane_homography(one)
    return found / found[2, 2]


def test_projection_by_hand():
    # Straight on, 1000 mm away, focal length 0.5 of 2000 px = 1000 px: a millimetre is a pixel. A point 100 mm right
    # of the axis is 100 px right of the middle; with k1 = 0.1 it moves out by 1 + 0.1 * 0.1 ** 2 = 1.001.
    plain = np.array([0, 0, 0, 0, 0, 1000.0, np.log(0.5), 0.0])
    bent = plain + np.array([0, 0, 0, 0, 0, 0, 0, 0.1])
    point = np.array([(100.0, 0.0)])
    assert VIEW.project(plain, point) == pytest.approx(np.array([(1099.5, 749.5)]))
    assert VIEW.project(bent, point) == pytest.approx(np.array([(999.5 + 100.1, 749.5)]))


def test_projection_is_opencvs():
    one = camera()
    points = np.array([(0, 0), (210, 297), (-400, 250), (600, -300)], float)
    focal = np.exp(one[6]) * VIEW.scale
    inner = np.array([[focal, 0, VIEW.centre[0]], [0, focal, VIEW.centre[1]], [0, 0, 1]])
    flat = np.column_stack([points, np.zeros(len(points))])
    theirs = cv2.projectPoints(flat, one[:3], one[3:6], inner, np.array([one[7], 0, 0, 0.0]))[0].reshape(-1, 2)
    assert VIEW.project(one, points) == pytest.approx(theirs, abs=1e-6)
    assert VIEW.to_plane(one, theirs) == pytest.approx(points, abs=1e-4)


def test_homography_is_that_of_opencv_and_scikit_image():
    one = camera(k1=0.0)
    seen = VIEW.project(one, SHEET)
    four = cv2.getPerspectiveTransform(SHEET.astype(np.float32), seen.astype(np.float32))
    many = cv2.findHomography(SHEET, seen, 0)[0]
    theirs = ProjectiveTransform.from_estimate(SHEET, seen).params
    for found in (four, many, theirs / theirs[2, 2]):
        assert homography_px(one) == pytest.approx(found, rel=2e-3, abs=1e-6)


def test_homography_by_hand():
    # A square of 2 mm whose right edge is seen half as high as its left: with x' = (a x) / (1 + x / 2) the depth at
    # x = 2 is twice that at x = 0. So (0, 1) -> (0, 1) and (2, 1) -> (2a / 2, 1 / 2).
    view, focal = View(1001, 1001), np.log(1.0)
    turn = np.arctan2(0.5, 1.0)  # z = 1 + x / 2 along the plane's x: its direction is (1, 0, 0.5) / sqrt(1.25)
    length = np.sqrt(1.25)
    one = np.array([0, -turn, 0, 0, 0, 1.0, focal, 0.0])
    points = np.array([(0, 1), (2 * length, 1)], float)
    seen = (view.project(one, points) - view.centre) / view.scale
    assert seen == pytest.approx(np.array([(0, 1), (1.0, 0.5)]))


def test_first_guess_from_four_corners():
    one = camera(k1=0.0)
    guess = first_guess(VIEW, VIEW.project(one, SHEET), SHEET, one[6])
    assert VIEW.project(guess, SHEET) == pytest.approx(VIEW.project(one, SHEET), abs=0.5)


def test_solution_recovers_the_camera_and_its_error_covers_the_truth():
    rng = np.random.default_rng(3)
    one = camera()
    target = np.array([(x, y) for x in (-500, 0, 500) for y in (-400, 0, 400)], float)
    inside = []
    for _ in range(40):
        own = np.array([(x, y) for x in (0, 60, 150, 210) for y in (0, 60, 230, 290)], float)
        fit = solve(VIEW, [Figure(own, VIEW.project(one, own) + rng.normal(0, 0.25, own.shape))], focal_ratio=0.8)
        plane, covariance = fit.measure(VIEW.project(one, target), 0.01)
        inside += (np.hypot(*(plane - target).T) <= plus_minus(covariance)).tolist()
    assert np.mean(inside) >= 0.95


def test_points_in_a_line_are_refused_in_words():
    line = np.array([(0, 0), (10, 0), (20, 0), (30, 0)], float)
    with pytest.raises(NotMeasurable, match=r"line|solved"):
        solve(VIEW, [Figure(line, line + 500)])


def test_nothing_to_measure_from_is_refused_in_words():
    with pytest.raises(NotMeasurable, match="Mark a card"):
        solve(VIEW, [])


def test_tape_that_contradicts_is_refused_in_words():
    one = camera()
    other = SHEET + np.array((400, 0))
    known = [
        KnownRectangle(VIEW.project(one, SHEET), 210, 297),
        KnownRectangle(VIEW.project(one, other), 210, 330),
    ]
    with pytest.raises(NotMeasurable, match="Tape it again"):
        fit_photo(VIEW, [], known, focal_ratio=0.8)


def test_real_stereo_pair_measures_a_known_baseline():
    """Middlebury 2014 motorcycle pair (Scharstein et al., GCPR 2014; scikit-image's own data): f 994.978 px, centre
    (311.193, 254.877), doffs 31.086 px, baseline 193.001 mm. A point that both cameras see gives its place by the
    published depth; seen from the other camera by our pinhole it must fall where its disparity says."""
    left, _, disparity = skimage.data.stereo_motorcycle()
    assert left.shape == (500, 741, 3)
    focal, centre, offset, baseline = 994.978, np.array([311.193, 254.877]), 31.086, 193.001
    view = View(int(2 * centre[0]) + 1, int(2 * centre[1]) + 1)
    assert baseline * focal / (disparity[250, 370] + offset) == pytest.approx(2397.8, abs=0.1)
    rows, columns = (found[::20_000] for found in np.nonzero(np.isfinite(disparity)))
    for row, column in zip(rows, columns, strict=True):
        shift = float(disparity[row, column])
        depth = baseline * focal / (shift + offset)
        # The plane through the point that faces the cameras, in the left one's coordinates.
        point = (np.array([column, row]) - centre) / focal * depth
        right = np.array([0, 0, 0, -baseline, 0, depth, np.log(focal / view.scale), 0.0])
        seen = view.project(right, point[None])[0] - view.centre + centre
        assert seen == pytest.approx(np.array([column - shift - offset, row]), abs=1e-6)
