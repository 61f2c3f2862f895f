"""All missing system packages in one go, so that nobody is sent to an administrator twice."""

from . import apt


def provide(*needs):
    """Install what the `needs` miss, or stop and name it. A need says WHY and lists `missing_packages()`."""
    missing = [(need.WHY, need.missing_packages()) for need in needs]
    packages = [package for _, found in missing for package in found]
    if packages:
        apt.install(packages, why="\n".join(why for why, found in missing if found))
