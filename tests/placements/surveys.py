"""A small survey that uses every key once, for tests."""

import copy

SURVEY = {
    "format": "overmantel-survey",
    "version": 1,
    "units": "in",
    "client": {"name": "Ilse Marlow"},
    "project": {
        "name": "Marlow house",
        "latitude": 0.0,
        "longitude": -9.14,
        "time_zone": "Europe/Lisbon",
        "address": "Ring twice.",
    },
    "house_rules": {"two-thirds": {"low": 0.55, "weight": 4}, "clearance": {"high": "11 in", "low": 5}},
    "rooms": [
        {
            "id": "sitting",
            "name": "Sitting room",
            "use": "living",
            "style": "contemporary",
            "colours": ["Ivory", "#3f5a52"],
            "around": True,
            "walls": [
                {
                    "id": "north",
                    "name": "North wall",
                    "length": 168,
                    "height": "9'",
                    "ceiling": [[0, "4 ft"], [60, "9 ft"], [100, "9 ft"], [100, 100], [168, 100]],
                    "faces": 180,
                    "build": "plaster",
                    "studs": {"first": 8, "spacing": "16 in"},
                    "finish": "plain_wallpaper",
                    "accent": True,
                    "focal": True,
                    "keep_bare": False,
                    "items": [
                        {"id": "sofa", "kind": "sofa", "left": 42, "bottom": 0, "width": 84, "height": 34, "depth": 36},
                        {
                            "id": "window",
                            "kind": "window",
                            "left": 4,
                            "bottom": 30,
                            "width": 30,
                            "height": 54,
                            "view": True,
                        },
                        {
                            "id": "pipe",
                            "kind": "custom",
                            "acts": "service",
                            "label": "Riser",
                            "left": 160,
                            "bottom": 0,
                            "width": 2,
                            "height": 100,
                        },
                        {
                            "id": "door",
                            "kind": "door",
                            "left": 128,
                            "bottom": 0,
                            "width": 30,
                            "height": 82,
                            "swing": {"hinge": "right", "leaf": 26, "opens": "square"},
                        },
                    ],
                }
            ],
        },
        {
            "id": "stairs",
            "use": "stair",
            "clear_width": 40,
            "walls": [
                {
                    "id": "flight",
                    "importance": "secondary",
                    "length": "4.2 m",
                    "height": 190,
                    "rail": {"from": [0, 34], "to": [96, "106 in"]},
                }
            ],
        },
    ],
    "art": [
        {
            "id": "a1",
            "title": "Slack water, evening",
            "maker": "Ruta Okonjo",
            "form": "painting",
            "width": "56",
            "height": "2' 10\"",
            "depth": 1.5,
            "weight": {"lb": 14},
            "frame": "black",
            "frame_width": 1.25,
            "mat": 3,
            "themes": ["coast"],
            "glazed": True,
            "light": "sensitive",
            "hang": {"kind": "wire", "inset": 3, "below_top": 9, "length": 54},
            "set": "shore",
            "locked": "north",
            "hung": {"wall": "north", "left": 56, "bottom": 42},
            "storage": "Rack 4",
            "medium": "oil on panel",
            "facts": {"Insured value": "4 200", "Owner": "The estate"},
            "picture": "pictures/a1.jpg",
            "palette": [[62.5, -4, -18.25], [20, 3, 5]],
        },
        {
            "id": "a2",
            "title": "Marram",
            "form": "print",
            "width": "1016 mm",
            "height": "101.6 cm",
            "weight": {"kg": 5.7},
            "hang": {"kind": "two_rings", "spacing": 20, "below_top": 2},
        },
        {"id": "a3", "width": 20, "height": 20, "locked": "north:sofa", "hang": {"kind": "sawtooth", "below_top": 1}},
    ],
    "apart": [["a1", "a2"]],
}


def survey_document() -> dict:
    """A copy that a test may change."""
    return copy.deepcopy(SURVEY)
