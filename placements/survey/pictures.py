"""The picture files that a survey names."""

from __future__ import annotations

from pathlib import Path

from .model import Fault, Survey, SurveyError


def pictures_beside(survey: Survey, folder: Path) -> dict[str, bytes]:
    """The content of every picture file that the survey names, by that name.

    Raises:
        SurveyError: a file that is not there, or one that leads out of `folder`.
    """
    pictures: dict[str, bytes] = {}
    faults = []
    for index, work in enumerate(survey.house.works):
        extra = survey.extras.get(work.id)
        if extra is None or not extra.picture:
            continue
        path = (folder / extra.picture).resolve()
        if path.is_relative_to(folder.resolve()) and path.is_file():
            pictures[extra.picture] = path.read_bytes()
        else:
            faults.append(Fault(f"art[{index}].picture", f"no file “{extra.picture}”", "a picture beside the survey"))
    if faults:
        raise SurveyError(faults)
    return pictures
