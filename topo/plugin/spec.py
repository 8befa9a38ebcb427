"""The hooks a plugin can implement. Each takes nothing and returns frozen values; nothing is done inside a hook.

A whole plugin:

    from topo.plugin import hook
    from topo.plugin.values import ProfileFolder

    @hook
    def topo_profiles():
        return [ProfileFolder(package=__name__)]

Announce it in the distribution's pyproject.toml:

    [project.entry-points.topo]
    my-cameras = "my_cameras"
"""
