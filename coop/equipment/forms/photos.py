"""The form of photos: one or several at a time."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from coop.equipment.pictures import ACCEPT


class PhotosInput(forms.ClearableFileInput):
    """A field for several files at once."""

    allow_multiple_selected = True


class PhotosField(forms.FileField):
    """Cleans to a list of what was sent; what is in the files is the act's to judge."""

    widget = PhotosInput(attrs={"accept": ACCEPT})

    def clean(self, data: Any, initial: Any = None) -> list[UploadedFile[Any]]:
        """Each file by itself. Raises ValidationError with a sentence."""
        files = data if isinstance(data, list) else [data]
        return [super(PhotosField, self).clean(each, initial) for each in files or [None]]


class PhotosForm(forms.Form):
    """Photos of a thing."""

    photo = PhotosField(
        label="Photos",
        help_text="JPEG, PNG or WebP, up to 10 MB each. Where and when it was taken is not kept.",
        error_messages={
            "required": "Choose a photo first.",
            "invalid": "Choose a photo first.",
            "missing": "Choose a photo first.",
            "empty": "The file is empty. Choose a photo.",
        },
    )
