"""Where the pages for people answer."""

from django.urls import path

from servicing.board import pages
from servicing.board.reading_page import take_reading

urlpatterns = [
    path("", pages.home, name="board-home"),
    path("sign-in", pages.sign_in, name="board-sign-in"),
    path("sign-out", pages.sign_out, name="board-sign-out"),
    path("board", pages.fleet, name="board-fleet"),
    path("board/due", pages.due, name="board-due"),
    path("board/struts/<uuid:part_id>", pages.strut, name="board-strut"),
    path("board/tyres/<uuid:part_id>", pages.tyre, name="board-tyre"),
    path("board/legs/<uuid:leg_id>/reading", take_reading, name="board-reading"),
]
