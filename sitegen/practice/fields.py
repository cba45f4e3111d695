"""The fields of a small file: of front matter, or of a session."""

from __future__ import annotations

from typing import TypeVar

from sitegen.model.problem import Problem
from sitegen.model.record import NotRead, Record
from sitegen.practice.meant import as_meant
from sitegen.practice.translate import problems_of
from sitegen.practice.yaml_text import YamlText

WrittenRecord = TypeVar("WrittenRecord", bound=Record)


def read_fields(
    model: type[WrittenRecord], read: YamlText
) -> tuple[WrittenRecord | None, list[Problem]]:
    """The record that a file makes; None with everything that is wrong with its fields."""
    try:
        return model.of_tree(read.tree), []
    except NotRead:
        read, told = as_meant(
            model, read, lambda errors, file, at: problems_of(errors, model, file, at)
        )
    try:
        model.of_tree(read.tree)
    except NotRead as error:
        told += problems_of(error.errors, model, read)
    return None, told
