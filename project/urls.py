"""The map of pages. Each app keeps its own; this one joins them."""

from __future__ import annotations

from importlib.util import find_spec

from django.urls import URLPattern, URLResolver, include, path

from project.views import accounts, audit, settings, terms

job_pages: list[URLPattern | URLResolver] = [
    path("book/", settings.job_settings, name="job_settings"),
    path("book/terms/revise/", terms.revise_terms, name="revise_terms"),
    path("book/terms/edition/", terms.change_edition, name="change_edition"),
    path("book/terms/<int:number>/", terms.terms, name="job_terms"),
    path("book/mixes/add/", settings.add_mix, name="add_mix"),
    path(
        "book/mixes/<str:code>/<int:revision>/approve/",
        settings.approve_mix,
        name="approve_mix",
    ),
    path("book/elements/add/", settings.add_element, name="add_element"),
    path("book/elements/<str:element>/add-part/", settings.add_part, name="add_part"),
    path("book/parts/<str:code>/", settings.part, name="part"),
    path("book/members/let-in/", settings.let_in, name="let_in"),
    path("book/members/<uuid:member>/let-out/", settings.let_out, name="let_out"),
    path("book/trail/", audit.audit_trail, name="audit_trail"),
    path("book/trail/<uuid:record>/", audit.audit_trail, name="audit_record"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("", accounts.jobs, name="jobs"),
    path("sign-in/", accounts.sign_in, name="sign_in"),
    path("sign-out/", accounts.sign_out, name="sign_out"),
    path("theme/", accounts.set_theme, name="set_theme"),
    path("jobs/<str:job>/", include(job_pages)),
    *(
        path("jobs/<str:job>/", include(f"{app}.urls"))
        for app in ("crews", "inspections")
        if find_spec(f"{app}.urls")
    ),
]
