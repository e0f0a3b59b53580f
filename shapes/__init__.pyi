from shapes.collection.board import Board as Board
from shapes.collection.board import DrawnBoard as DrawnBoard
from shapes.collection.board import Report as Report
from shapes.collection.brief import Brief as Brief
from shapes.collection.generate import Collection as Collection
from shapes.errors import CannotMeetError as CannotMeetError
from shapes.errors import InputError as InputError
from shapes.errors import RefusedError as RefusedError
from shapes.geometry.outline import Outline as Outline
from shapes.library.checking import check as check
from shapes.library.checking import repair as repair
from shapes.library.drawing import generate as generate
from shapes.library.drawing import vary as vary
from shapes.library.laying import place as place
from shapes.library.making import Work as Work
from shapes.library.making import export as export
from shapes.library.making import plan as plan
from shapes.library.making import prepare as prepare
from shapes.library.presets import read_brief as read_brief
from shapes.library.presets import read_piece as read_piece
from shapes.library.reading import read_boards as read_boards
from shapes.library.reading import read_drawing as read_drawing
from shapes.library.showing import picture as picture
from shapes.library.writing import read_workshop as read_workshop
from shapes.library.writing import write_collection as write_collection
from shapes.library.writing import write_placement as write_placement
from shapes.timber.off_cut import OffCut as OffCut
from shapes.workshop.shop import Workshop as Workshop

__version__: str
__all__: list[str]
