"""Panels of the notebooks: widgets and tables on screen, no arithmetic. The only room with widgets in it."""

from heritagemove.panels.engineering import EngineeringScreen, engineering
from heritagemove.panels.explorer import Explorer, explore
from heritagemove.panels.screens import show_cautions, show_paths, show_vehicle

__all__ = ["EngineeringScreen", "Explorer", "engineering", "explore", "show_cautions", "show_paths", "show_vehicle"]
