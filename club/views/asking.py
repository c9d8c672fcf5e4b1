"""A page with one form: what it is called, where it goes back to."""

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _


def ask(request: HttpRequest, form: forms.Form, title: str, back: str, lede: str = "", act: str = "") -> HttpResponse:
    """The form as a page; 422 with what is wrong where something was sent."""
    context = {"form": form, "title": title, "back": back, "lede": lede, "act": act or _("Save")}
    return render(request, "club/form_page.html", context, status=422 if form.is_bound else 200)
