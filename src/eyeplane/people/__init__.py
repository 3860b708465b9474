"""Measures of people that a portrait is scaled and judged by, each with source and spread."""

from eyeplane.people.eyes import (
    ANYONE_EYE_DISTANCE_MM,
    EYE_DISTANCE_MM,
    VISIBLE_IRIS_MM,
    eye_distance,
    visible_iris,
)
from eyeplane.people.head_depths import CORNEA_MM, HEAD_DEPTHS, head_depth
from eyeplane.people.measures import BodyMeasure
from eyeplane.people.spectacles import VERTEX_DISTANCE_MM, glasses_frame_depth

__all__ = [
    "ANYONE_EYE_DISTANCE_MM",
    "CORNEA_MM",
    "EYE_DISTANCE_MM",
    "HEAD_DEPTHS",
    "VERTEX_DISTANCE_MM",
    "VISIBLE_IRIS_MM",
    "BodyMeasure",
    "eye_distance",
    "glasses_frame_depth",
    "head_depth",
    "visible_iris",
]
