"""What money is spent on: the one list of cost categories, each with the words people see."""

# A category that the cash flow returns stands here, and then on every face.
CATEGORIES = {
    "box": "boxes",
    "shelf": "shelves",
    "drives": "drives",
    "labour": "work",
    "power": "electricity",
    "failures": "drives and boxes that fail out of warranty",
    "copies": "further copies",
    "archive": "finished work in an archive",
    "rent": "rented space",
    "deleted early": "footage deleted early",
    "other costs": "other costs",
    "sales": "drives sold",
    "worth at the end": "worth at the end",
}
# Not paid out: what things are worth is subtracted from the total, not from a year's budget.
NOT_PAID = "worth at the end"
