"""The pages: each route reads, calls a service and renders."""
