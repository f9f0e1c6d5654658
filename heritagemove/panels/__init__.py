"""Panels of the notebooks: widgets and tables on screen, what is counted is counted below; the presentation.

`all_screens.py` lists every screen by topic; `state.py` holds the desk that they read; `frame.py` puts around each what all
have. The only room with widgets in it. Imports hand_over and below.
"""
