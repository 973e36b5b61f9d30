"""The kinds of fault, in one table: how bad, what is said, what to do about it.

Wording lives here only; it is documented from here and improves without touching a check.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final


class Severity(StrEnum):
    """How much a finding matters."""

    ERROR = "error"
    """Stops the families of documents that would rest on the cell."""
    WARNING = "warning"
    """Documents are written; someone should look."""
    NOTE = "note"
    """Read, but not as plainly written; said so that nothing is guessed quietly."""


class Family(StrEnum):
    """Documents that stand or fall together."""

    ORDERS = "orders"
    PACKING = "packing"
    REPORTS = "reports"


ALL_FAMILIES: Final = frozenset(Family)
FOOD: Final = frozenset({Family.ORDERS, Family.PACKING})
PEOPLE: Final = frozenset({Family.REPORTS})


@dataclass(frozen=True, slots=True)
class Rule:
    """A kind of fault. `message` and `fix` may hold {seen} and the names in a finding's details."""

    severity: Severity
    message: str
    fix: str
    families: frozenset[Family] | None = None
    """Which documents rest on it; None: those of the sheet it stands on."""
    varies: tuple[str, ...] = ()
    """Details that name who or where: findings that differ in these only are one mistake."""
    instead_of: str = ""
    """A milder rule of which this one says more: at one cell it takes its place, and its `near`."""


def _error(
    message: str, fix: str, families: frozenset[Family] | None = None, varies: tuple[str, ...] = (),
    instead_of: str = "",
) -> Rule:  # fmt: skip
    return Rule(Severity.ERROR, message, fix, families, varies, instead_of)


def _warning(message: str, fix: str, varies: tuple[str, ...] = ()) -> Rule:
    return Rule(Severity.WARNING, message, fix, varies=varies)


def _note(message: str, fix: str) -> Rule:
    return Rule(Severity.NOTE, message, fix)


RULES: Final[Mapping[str, Rule]] = {
    # --- reading: the sheets and their headings ---
    "sheet-missing": _error(
        "The workbook has no sheet {seen}.", "Add a sheet named {seen} with the headings {headings}.{near}"
    ),
    "sheet-twice": _error(
        "Sheet {seen} and sheet {other} could both be {sheet}.",
        "Keep one of them; delete or rename the other.",
    ),
    "sheet-unknown": _note("Sheet {seen} is no sheet that is read; it was left alone.", "Nothing needs doing.{near}"),
    "headings-missing": _error(
        "Sheet {seen} has no heading row among its first 20 rows; missing: {missing}.",
        "Type the missing headings into one row: {missing}.{near}",
    ),
    "heading-near": _warning(
        "The heading {seen} is not one of this sheet's, but looks like {near}; its column was not read as that.",
        "Rename it {near} if that is meant.",
    ),
    "column-nameless": _note(
        "What stands under no heading was left alone: {seen}, in column {columns}.",
        "Nothing needs doing, unless it belongs to the table: then type a heading above it.",
    ),
    "sheet-hidden": _note("Sheet {seen} is hidden; it was read all the same.", "Delete it if it is not meant."),
    "rows-hidden": _note(
        "Hidden here: {seen}. {count} read all the same.", "Nothing needs doing; delete what is not meant."
    ),
    "workbook-macros": _note("The workbook carries {seen}; none was run.", "Nothing needs doing."),
    "workbook-links": _note(
        "The workbook has {seen}; they were not followed, and the values last saved were read.",
        "Open and save it in a spreadsheet program if those values are old.",
    ),
    "heading-twice": _error(
        "The heading {seen} stands twice; the first is in {first}.", "Rename or delete one column."
    ),
    "columns-unknown": _note("Not read, and left alone: {seen}.", "Nothing needs doing, unless a heading is misspelt."),
    "setting-unknown": _warning("There is no setting {seen}; it was left alone.", "Correct or delete it.{near}"),
    "setting-twice": _error("The setting {seen} stands twice; the first is in {first}.", "Delete one of the two rows."),
    "row-skipped": _note(
        "A row with {seen} was taken for a total or a title and skipped.",
        "Nothing needs doing, unless it was meant as a record: then fill in its other cells.",
    ),
    # --- reading: one cell ---
    "cell-missing": _error("{heading} is blank here ({seen}), and every row needs it.", "Fill in {heading}{example}."),
    "cell-error": _error(
        "The cell shows the error {seen}.",
        "Correct the formula or type the value, then open and save the workbook in a spreadsheet program.",
    ),
    "cell-unsaved": _error(
        "The formula {seen} has no saved result.", "Open and save the workbook in a spreadsheet program."
    ),
    "read-as": _note("{seen} was read as {read}.", "Type {read} and this note goes away; otherwise correct the cell."),
    "amount-with-unit": _note(
        "{seen} holds amount and unit in one cell, read as {read}.",
        "Type {amount} here and {unit} in the unit's column, and this note goes away; otherwise correct the cell.",
    ),
    "out-of-range": _error(
        "{heading} is {seen}; it must be {range}.", "Type a value that is {range}.", instead_of="read-as"
    ),
    "id-twice": _error(
        "{heading} {seen} stands twice; the first is in {first}.", "Give one of them another {heading}."
    ),
    "row-twice": _error("{seen} stands twice; the first is in row {first}.", "Delete one of the rows, or correct it."),
    "row-repeated": _warning(
        "This row of {seen} says the same as row {first} in every cell; both count.",
        "Delete one if it was pasted twice.",
    ),
    "choice-unknown": _error("{seen} is none of {choices}.", "Type {choices}."),
    "currency-unknown": _error("{seen} is no ISO 4217 currency code.", "Type a code such as {near}."),
    "yes-no-unreadable": _error("{seen} is neither yes nor no.", "Type yes or no."),
    "mark-unknown": _error(
        "{seen} is no attendance mark.",
        "Type present, absent, excused or kit only; leave it blank if not recorded.",
    ),
    "mark-about-health": _error(
        "{seen} is no attendance mark, but says something about health.",
        "Type absent or excused. Reasons of health do not belong in this sheet.",
    ),
    "id-is-date": _error(
        "{seen} is a date where a code belongs; the spreadsheet may have turned one such as 1-2 into it.",
        "Format the cell as text and type the code again.",
    ),
    "id-several": _error("{seen} names several where one belongs.", "Give each a row of its own, with its own code."),
    "id-is-yes-no": _error("{seen} is no code.", "Format the cell as text and type the code again."),
    "list-separator": _error("The entries of {seen} are not parted by semicolons.", "Type {proposed}"),
    "number-unreadable": _error("{seen} is no number.", "Type a number such as 2, 0.5 or 1 1/2, and nothing else."),
    "number-comma": _error(
        "{seen} has a comma, which may part decimals or thousands.",
        "Type {proposed}, or set Decimal comma to yes in Settings.",
    ),
    "number-is-date": _error(
        "{seen} is a date where a number belongs; the spreadsheet may have turned {likely} into it.",
        "Format the cell as text, then type {likely} again.",
    ),
    "number-not-whole": _error("{seen} is no whole number.", "Type a whole number."),
    "number-outside": _error("{seen} is too {large} a number to be meant.", "Type the number that is meant, {range}."),
    "percent-unreadable": _error("{seen} is no percentage.", "Type a percentage such as 75%."),
    "share-unreadable": _error(
        "{seen} is neither a percentage up to 100% nor a number.", "Type 5%, or a whole number."
    ),
    "money-unreadable": _error("{seen} is no sum of money.", "Type a number such as 4.50; nothing paid is typed 0."),
    "money-other-currency": _error(
        "{seen} is not in {currency}, the currency of Settings.",
        "Type the sum in {currency}, or correct Currency.",
    ),
    "money-of-several": _error(
        "{seen} is the price of {count}; a price is of one pack.",
        "Type {proposed}, and {count} in Sold by where fewer are not sold.",
    ),
    "money-by-unit": _error(
        "{seen} is a price by weight, measure or piece; a price is of one pack.",
        "Type what one whole pack costs, as 4.50.",
    ),
    "money-negative": _error("{seen} is below nothing.", "Type a sum of 0 or more, without minus or parentheses."),
    "money-decimals": _error(
        "{seen} has more decimals than {currency}, which has {decimals}.",
        "Type a sum with {decimals} decimals.",
    ),
    "amount-unreadable": _error(
        "{seen} is no amount.", "Type a number such as 2, 0.5 or 1 1/2 here, its unit in Unit."
    ),
    "amount-with-words": _error(
        "{seen} holds more than an amount.",
        "Type {amount} here, {beside}; other words belong in Ingredient or Preparation.",
    ),
    "amount-not-positive": _error("The amount {seen} is not above 0.", "Type an amount above 0, or delete the row."),
    "amount-negative": _error("The amount {seen} is below 0.", "Type what is there; 0 where nothing is left."),
    "unit-unknown": _error("{seen} is no unit.", "Type a unit: {near}."),
    "unit-is-size": _error(
        "{seen} is a size, and sizes are no unit.",
        "Leave the unit blank and type the size in Preparation; or give the amount by weight.",
    ),
    "unit-with-amount": _error(
        "{seen} is an amount with its unit, where only a unit belongs.",
        "Type {unit} here and the amount in the column before it: {amount}, times the packs of that size.",
    ),
    "unit-imperial": _error(
        "{seen} is an imperial measure, and those are not read.", "Convert it to mL, g or US measures."
    ),
    "date-unreadable": _error("{seen} is no date.", "Type a date as 2027-03-04."),
    "date-is-number": _error(
        "{seen} is a bare number; formatted as a date it would be {likely}.",
        "If that is meant, type {likely}.",
    ),
    "date-not-real": _error("There is no such day as {seen}.", "Type a date as 2027-03-04."),
    "date-outside": _error(
        "{seen} is outside the years {first} to {last}.",
        "Type the day that is meant; where there is none, leave the cell blank.",
    ),
    "date-weekday": _error("{seen} names another weekday: {day} is a {weekday}.", "Correct the weekday or the date."),
    "date-ambiguous": _error(
        "{seen} may be {first} or {second}.", "Type {proposed} or {other}, or set Date order in Settings."
    ),
    "date-order": _error(
        "{seen} is a date typed as text whose order is not agreed; it may be {day}.",
        "Type {proposed}, or set Date order in Settings.",
    ),
    "time-unreadable": _error("{seen} is no time of day.", "Type a time as 17:30."),
    "weekday-unknown": _error("{entry} in {seen} is no weekday.", "Type weekdays as Mon; Wed; Fri.{near}"),
    "dish-times": _error("{entry} in {seen} does not say how often.", "Type the recipe and how often: soup x2."),
    "need-unreadable": _error("{seen} is no need.", "Type needs as no egg; no pork, or none.", FOOD),
    "none-beside-need": _error(
        "{seen} says none and names a need as well.", "Type {needs}, or none if that is the answer.", FOOD
    ),
    "allergen-unknown": _error("{entry} in {seen} is no allergen that needs can name.", "Did you mean {near}?"),
    "piece-unreadable": _error(
        "{entry} in {seen} is no count word with its grams.", "Type pieces as head 60 g; bunch 40 g."
    ),
    "funder-share-unreadable": _error(
        "{entry} in {seen} is no share.", "Type funders as Larkmere 60%; Brackenlow 40%."
    ),
    # --- checking: between columns, rows and sheets ---
    "nothing-to-plan": _warning(
        "There is nothing to plan: no rows in {seen}.", "Fill in Sessions, Enrolment and Recipes, one row a line."
    ),
    "group-unknown": _warning("Group {seen} is not in Groups; {effect}.", "Correct it, or add it to Groups.{near}"),
    "supplier-unknown": _warning(
        "Supplier {seen} is not in Suppliers; defaults are used.", "Correct it, or add it to Suppliers.{near}"
    ),
    "supplier-never-taken-in": _warning(
        "Supplier {supplier} delivers on {seen} only, and none of that is among the Open days ({open}): nothing of "
        "theirs can be taken in.",
        "Correct Delivery days, or add a day to Open days in Settings.",
    ),
    "recipe-unknown": _error("Recipe {seen} is not in Recipes.", "Correct it, or add it to Recipes.{near}", FOOD),
    "session-unknown": _error("Session {seen} is not in Sessions.", "Correct it, or add it to Sessions.{near}"),
    "participant-unknown": _error("Participant {seen} is not in Enrolment.", "Correct it, or enrol them.{near}"),
    "question-unknown": _error("Question {seen} is not in Questions.", "Correct it, or add it to Questions.{near}"),
    "questions-missing": _warning(
        "Surveys has answers to {seen}, but there is no sheet Questions; they are left out.",
        "Add the sheet Questions, with Question, Text and Kind.",
    ),
    "household-unknown": _warning("Household {seen} is not in Enrolment.", "Correct it, or add it to Enrolment.{near}"),
    "funder-unknown": _warning("Funder {seen} is not in Funders.", "Correct it, or add it to Funders.{near}"),
    "ingredient-unknown": _warning(
        "{seen} is neither in Ingredients nor in the built-in catalogue: its allergens are unknown.",
        "Correct it, or add it to Ingredients with its Contains.{near}",
    ),
    "need-unknown": _error(
        "The need {seen} is neither an allergen or a diet, nor no and an ingredient or a tag, so it would protect "
        "nobody.",
        "Type no and an allergen, an ingredient or a tag of Ingredients; vegetarian; vegan; or none.{near}",
        FOOD,
    ),
    "need-of-one-food": _warning(
        "The need {seen} does not cover {foods}, which recipes or Swaps of this term use.",
        "Ask. If they must not get these either, type {typed}; if they may, nothing needs doing.",
    ),
    "contains-blank": _warning(
        "Contains of {seen} is blank, and the catalogue does not know {seen}: it is taken to hold no allergen.",
        "Read its label, then type what it contains, or none.",
    ),
    "contains-dropped": _warning(
        "{heading} of {ingredient}, {seen}, leaves out {dropped}, which the catalogue lists: whoever must not get it "
        "is no longer kept from {ingredient}.",
        "Read its label. Type {typed} unless it really holds no {dropped}; then nothing needs doing.",
    ),
    "needs-unanswered": _warning(
        "Not asked about needs: {participant} ({seen}).", "Ask, then type the needs, or none.", ("participant",)
    ),
    "needs-unanswered-refused": _error(
        "Not asked about needs: {participant} ({seen}).", "Ask, then type the needs, or none.", FOOD, ("participant",)
    ),
    "servings-missing": _error(
        "Recipe {seen} says nowhere how many people it feeds.", "Type its Servings, once, on its first row."
    ),
    "servings-twice": _error(
        "Recipe {recipe} feeds {seen} here and {first} further up.", "Keep one Servings a recipe."
    ),
    "amount-missing": _error(
        "There is a unit, {seen}, but no amount.", "Type the amount, or to taste; or delete the unit."
    ),
    "unit-contradicts": _error(
        "{seen} names {own}, but the unit beside it is {unit}.",
        "Type only the number here and its unit in {unit_column}.",
        instead_of="amount-with-unit",
    ),
    "ounces-of-liquid": _error(
        "{seen} of {ingredient}, a liquid: fluid ounces or weight?",
        "Type fl oz for fluid ounces; g or lb for weight.",
        FOOD,
    ),
    "bridge-missing": _error(
        "{seen} of {ingredient} cannot be turned into {base}, in which its other amounts are.",
        "Fill in {cells} of {ingredient}.",
        FOOD,
    ),
    "count-word": _warning(
        "{seen} of {ingredient} is taken as {taken}: nobody says what a {word} of it weighs.",
        "Weigh one and type {word} … g in Other pieces of {ingredient} (Ingredients), or type this amount by weight; "
        "where {word} means the same piece, leave the unit blank.",
    ),
    "people-per-table-missing": _error(
        "Group {seen} cooks at tables, but nobody says how many people share one.", "Type People per table."
    ),
    "funder-share-missing": _error("{seen} names several funders, one without its share.", "Give each its percentage."),
    "funder-shares-total": _error("The shares {seen} total {total}, not 100%.", "{proposed}"),
    "session-past": _warning(
        "Session {session} of {seen} is past and still planned; nothing is ordered for it.",
        "Set Status to delivered or cancelled, or correct the date.",
        ("session",),
    ),
    "date-far": _error(
        "{seen} is more than a year away from the other sessions.", "Correct the date.", instead_of="session-past"
    ),
    "replaces-unknown": _warning(
        "Session {seen}, which this one replaces, is not in Sessions.", "Correct Replaces.{near}"
    ),
    "replaces-not-cancelled": _warning(
        "Session {seen}, which this one replaces, is not cancelled.",
        "Set its Status to cancelled, or correct Replaces.",
    ),
    "until-before-from": _error("Until, {seen}, is before {first}.", "Correct one of the two dates."),
    "left-before-joined": _error("Left, {seen}, is before Joined, {first}.", "Correct one of the two dates."),
    "withdrawn-without-left": _warning(
        "{seen} is withdrawn, but no Left says since when; they count on no day.",
        "Type the last day in Left.",
    ),
    "order-overdue": _warning(
        "Order {order} was due on {seen} and is not all here; what is missing is not counted on.",
        "Type a new Due, or what came in Received.",
    ),
    "received-too-many": _error("{seen} packs received, but only {packs} ordered.", "Correct Received or Packs."),
    "chilled-without-date": _warning(
        "{seen} is chilled and has no date, so it is not used.",
        "Type its Best before, or Opened (with Keeps open).",
    ),
    "mark-not-delivered": _warning(
        "Session {seen} has marks but is {status}, so they are not counted.", "Set its Status to delivered."
    ),
    "marks-of-nobody": _warning(
        "Session {seen} has marks, but nobody is enrolled in its group {group}.",
        "Correct the Group of the session, or enrol them.",
    ),
    "mark-other-group": _warning(
        "Participant {seen} is not enrolled in group {group} of session {session}.",
        "Enrol them, or clear the mark.",
        ("session",),
    ),
    "mark-not-active": _warning(
        "Participant {seen} has a mark for session {session}, but was not active on {day}.",
        "Correct Joined, Left or Status in Enrolment, or clear the mark.",
        ("session", "day"),
    ),
    "answer-outside": _warning("The answer {seen} is outside {range}; it counts as missing.", "Correct or clear it."),
    "answer-unreadable": _warning("The answer {seen} is not {wanted}; it counts as missing.", "Correct or clear it."),
    "scale-without-ends": _warning(
        "Question {seen} is a scale without {missing}, so an answer outside it goes unnoticed.", "Type {missing}."
    ),
    "scale-ends-swapped": _error("Lowest, {seen}, is not below Highest, {highest}.", "Correct Lowest or Highest."),
    "funder-without-sessions": _warning(
        "Funder {seen} pays for no session between From and Until.",
        "Correct the dates, or Funders in Groups.",
    ),
    # --- a second look: what reads well and still looks odd ---
    "session-outside-term": _warning(
        "Session {session} on {seen} is outside the term ({term}).",
        "Correct the date, or Term from and Term until in Settings.",
    ),
    "sessions-at-one-time": _warning(
        "Sessions {other} and {session} of group {group} are both on {seen}; a group can be in one place only.",
        "Correct Date or Start of one, or set its Status to cancelled.",
    ),
    "member-of-two-groups": _warning(
        "Active in groups {groups} at once: {participant}. Each group packs a kit, reports count one person.",
        "Set Status or Left in one of them, unless both are meant.",
        varies=("participant",),
    ),
    "seats-exceeded": _warning(
        "Group {group} has {seen} seats and {members} active members at once.",
        "Set some to waiting, or correct Seats.",
    ),
    "group-without-sessions": _warning(
        "Group {seen} has members and no session, so nothing is planned for them.",
        "Add its sessions, or correct the group.{near}",
    ),
    "participant-several": _warning(
        "Participant {seen} reads like two people, who would get one kit and count as one.",
        "Give each a row of their own, with a code.",
    ),
    "ids-differ-by-zeros": _warning(
        "Participants {seen} and {other} differ only by zeros; they are counted as two people.",
        "Give each the same number of digits, or delete one of the rows.",
    ),
    "servings-odd": _warning(
        "Servings of {whom} is {seen}, which is hardly meant.",
        "Correct it; it is the number of people to feed.",
        ("whom",),
    ),
    "servings-differ": _warning(
        "Servings of household {household} is {seen} here and {first} in row {row}; the larger is planned.",
        "Type the same in both: the number of people whom the household's kit must feed.",
    ),
    "recipe-unused": _warning(
        "Recipe {seen} is made in no session, so nothing is bought for it.",
        "Nothing needs doing, unless a session should make it: then type it in Recipes of that session.",
    ),
    "price-far-apart": _warning(
        "{seen} for {ingredient} is {times} times the price of {other} (row {row}) per {per}.",
        "Compare Pack amount, Pack unit and Price of both with the price lists.",
    ),
    "donated-without-value": _warning(
        "The donated {seen} has no value, so reports of gifts in kind leave it out.",
        "Type in Value what it would cost to buy.",
    ),
    "stock-long-ago": _warning(
        "{heading} of {ingredient} is {seen}, before last term.",
        "Correct the year; or throw the lot out and delete its row.",
    ),
    "order-keeps-otherwise": _warning(
        "Order {seen} has no Best before for {ingredient}. It is counted on by the days that the food keeps; by those "
        "that Packs gives the pack it is good until {date}.",
        "Type Best before: Due and the days in Packs, or what the package says.",
        ("ingredient", "date"),
    ),
    "stock-in-one-pack": _note(
        "{seen} of {ingredient} on one row counts as one pack: once it is opened, all of it keeps {days} days. It is "
        "what {packs} packs hold.",
        "Type under Packs how many sealed ones it is, 1 where it is one.",
    ),
    "opened-in-packs": _warning(
        "{ingredient} stands there as opened and in {seen} packs; all of it is taken to have been opened that day.",
        "Put the opened pack on a row of its own, and leave Opened blank for the sealed ones.",
    ),
    "count-stale": _warning(
        "{ingredient} was last counted on {seen}, {days} days ago; orders rest on that count.",
        "Count it again, correct Amount and type today in Counted.",
    ),
    "count-to-come": _warning("{ingredient} was counted on {seen}, a day still to come.", "Correct Counted."),
    "report-by-unknown": _warning("{seen} is no column of Enrolment.", "Correct Report by, or add the column.{near}"),
    # --- planning: found while the programme is worked through, said at the cell behind it ---
    "need-without-swap": _error(
        "Household {household} must not get {ingredient} ({need}), which recipe {recipe} of session {session} "
        "packs, and no row of Swaps says what it gets instead.{why}",
        "Add a row to Swaps: Ingredient {ingredient}, Need {row}, Use instead (an ingredient, or leave out).",
        FOOD,
        ("household", "recipe", "session"),
    ),
    "unknown-food-for-need": _error(
        "{seen} is neither in Ingredients nor in the built-in catalogue, so nobody knows what is in it, and kits made "
        "for needs would hold it: household {household}, session {session}, recipe {recipe}.",
        "Correct it, or add it to Ingredients with its Contains (none where its label shows no allergen).{near}",
        FOOD,
        ("household", "recipe", "session"),
        instead_of="ingredient-unknown",
    ),
    "housemate-need-not-met": _warning(
        "Household {household} carries home {foods}, which {person} must not get ({seen}): {why}.",
        "Ask the family. Where their kits must do without it, type {seen} also in Needs of {holders}.",
    ),
    "home-food-against-need": _warning(
        "Household {household} must not get {ingredient} ({seen}), which recipe {recipe} of session {session} takes "
        "from home; nothing of it is packed, and the recipe card says to leave it out.",
        "Tell them, or add a row to Swaps: Ingredient {ingredient}, Need {seen}, Use instead.",
        ("household", "recipe", "session"),
    ),
    "swap-against-need-in-room": _warning(
        "{ingredient}, given at a table of session {session} instead of {food}, is what {person} of the same session "
        "must not get ({seen}).",
        "Seat them at another table and clean in between, or use something else in Swaps.",
        ("session",),
    ),
    "opened-before-session": _warning(
        "{seen}, portioned on {packed} for session {session} on {day}, keeps {days} days once opened: not until then.",
        "Pack on the day of the session (Packing date), or give whole packs (Per kit: whole).",
        ("session", "packed", "day"),
    ),
    "session-without-members": _warning(
        "Session {seen} on {day} is planned, but group {group} has no active member that day; nothing is ordered or "
        "packed for it.",
        "Enrol someone, correct Joined and Left, or set Status to cancelled.",
    ),
    "packing-day-past": _warning(
        "Session {session} on {seen} is still to come, but every day on which its kits could be packed lies before the "
        "planning date, because the days in between are closed: nothing is ordered or packed for it.",
        "Give a Packing date, correct Closures or Open days, or move the session.",
    ),
    "packing-date-late": _error(
        "Session {session} is on {day}, and its Packing date {seen} is after that.",
        "Correct the Packing date, or the Date.",
    ),
    "packing-day-closed": _warning(
        "Session {session} is to be packed on {seen}, a day that is closed for packing or not among the Open days.",
        "Give another Packing date, or correct Closures or Open days.",
    ),
    "shortage": _warning(
        "Nothing can cover {seen} {unit} of {ingredient} for session {session}; as far as it goes, {kits} possible.",
        "{mend}.",
    ),
    "delivery-conflict": _warning(
        "{seen} for session {session} must be good through {use_by}, but what comes on the last delivery that is early "
        "enough ({supplier}, {arrives}) keeps only through {through}{closed}.",
        "Nothing was chosen for you. {choices}.",
    ),
    "no-pack-on-offer": _warning(
        "No supplier offers {seen} at a price that holds (sessions {sessions}); it is on the shopping list.",
        "Add a row to Packs, or buy it from the shopping list.",
    ),
    "order-urgent": _warning(
        "Order {seen}, to arrive on {arrives}, should have been placed by {order_by}.",
        "Telephone {supplier} today; if it cannot come, see what the packing day can do without.",
    ),
    "order-below-minimum": _warning(
        "Order {seen} holds {goods} of goods; {supplier} asks for at least {minimum}.",
        "Ask {supplier} whether it will be taken; {forward}.",
    ),
    "count-of-unknown": _warning(
        "{seen} is no ingredient of this workbook; its count was left alone.",
        "Write it as the count sheet does, unless it is not meant for kits.",
    ),
    "count-unit": _error(
        "{seen} of {ingredient} cannot be turned into {base}, in which it is packed.", "Type the count in {base}."
    ),
    "count-own-unit": _warning(
        "{seen} of {ingredient} was counted, as typed; the Unit beside it says {unit}.",
        "If that is right, correct the Unit; otherwise type the number in {unit}.",
    ),
    "count-improbable": _warning(
        "Only {seen} of {ingredient} was counted, where {needed} are needed.",
        "If pieces were counted, type each (or can) in Unit; if it was kg, type kg.",
    ),
    "count-in-part": _error(
        "{ingredient} is counted on another row, but not lot {seen}: is it there or not?",
        "Count every lot of {ingredient}, 0 where nothing is; or leave all its rows blank.",
    ),
    "count-of-held": _warning(
        "Lot {seen} of {ingredient} is on hold in Stock, so its count was left alone.",
        "Clear its Hold if it may be used.",
    ),
    "chilled-without-keeps": _warning(
        "{seen} is chilled, and nothing says how many days it keeps, so it is bought as if it kept.",
        "Give its Keeps in Packs or Ingredients.",
    ),
    "prices-old": _warning(
        "{count} of the prices of {supplier} that these orders rest on are more than {days} days old, the oldest of "
        "{seen}: {goods} of {total} of goods.",
        "Ask {supplier} for the prices of today, and type them in Packs with Priced.",
    ),
    "price-moved": _warning(
        "{ingredient} of {supplier} ({pack}) costs {seen}, {before} in the run of {since}: {packs} packs come to "
        "{total_now} instead of {total_before}.",
        "Ask {supplier} whether that is right; correct Price if it is not.",
    ),
    "budget-broken": _warning(
        "Order {seen} no longer fits the budget of {cap}: all that is spent, ordered and planned comes to {total}, "
        "{over} over.",
        "Nothing is cut: {waits}. Ask for more money{levers}.",
    ),
    "pool-ingredient-differs": _warning(
        "{heading} of {seen} is not the same in all workbooks: {said}. Each kit was weighed by its own workbook; what "
        "is bought together goes by the careful one.",
        "Look which is right and type it into sheet Ingredients of the other workbooks.",
    ),
    "pool-price-differs": _warning(
        "The price of {seen} is not the same in all workbooks: {said}. {used} was used, the one asked for last, else "
        "the dearer.",
        "Ask the supplier, then type the one price into every workbook.",
    ),
    "pool-supplier-differs": _warning(
        "{heading} of supplier {seen} is not the same in all workbooks: {said}. {used} was used, which holds for all, "
        "else what the first says.",
        "Ask the supplier, then type the same into sheet Suppliers of every workbook.",
    ),
    "order-without-price": _note(
        "Nobody says what the packs of {seen} cost, so they count as nothing against the budget.",
        "Type Price in Orders, or give the pack a row in Packs.",
    ),
    "packed-kit-against-need": _warning(
        "Kit {kit}, packed on {packed} for {day}, holds {foods}, which {whom} must not get ({seen}).",
        "Pull it before it is handed out, pack another and say so to whoever hands out. {instead}.",
    ),
}
