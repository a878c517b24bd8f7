"""The spun bag, drawn from the prediction."""

from buffycoat.separation.contents import Prediction
from buffycoat.shell.pictures.bag import StopLine, draw_bag
from buffycoat.shell.pictures.picture import Picture


def bag_picture(prediction: Prediction) -> Picture:
    stop = StopLine(
        express_ml=prediction.express_ml, express_g=prediction.express_g, leave_ml=prediction.left_on_cells_ml
    )
    return draw_bag(prediction.layers, stop_line=stop)
