"""Static files under names that tell their content, also those that a script imports from another."""

from whitenoise.storage import CompressedManifestStaticFilesStorage as Storage


class ModuleStorage(Storage):
    """A page never runs modules of two versions: each import names the file it was written for.

    Only for our own modules: packages ship scripts whose comments look like imports.
    """

    support_js_module_import_aggregation = True
    _js_module_import_aggregation_patterns = ("station/*.js", Storage._js_module_import_aggregation_patterns[1])
