"""What money is spent on: the one list of cost categories, each with the words people see."""

# A category that the cash flow returns stands here, and then on every face.
CATEGORIES = {
    "box": "boxes",
    "shelf": "shelves",
    "drives": "drives",
    "labour": "work",
    "power": "electricity",
    "failures": "drives and boxes failed out of warranty",
    "archive": "finished work held elsewhere",
    "deleted early": "footage deleted early",
    "copies": "the other copies",
    "remedy": "footage it cannot hold",
    "sales": "fetched at the end",
}
