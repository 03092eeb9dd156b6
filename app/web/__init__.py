"""The shell: guards, errors, rendering, forms, pages and the JSON interface."""
