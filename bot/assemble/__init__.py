"""The one place that puts the parts together: settings in, a running command out; a module for each group of commands."""
