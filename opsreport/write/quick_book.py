"""A workbook of xlsxwriter that writes its shared strings without looking at each of them four times."""

from xlsxwriter.packager import Packager
from xlsxwriter.sharedstrings import SharedStrings
from xlsxwriter.workbook import Workbook


class QuickBook(Workbook):  # type: ignore[misc]
    """The same parts, in the same order, with the same bytes."""

    def _get_packager(self) -> Packager:
        return _QuickPackager()


class _QuickPackager(Packager):  # type: ignore[misc]
    def _write_shared_strings_file(self) -> None:
        table = self.workbook.str_table
        if table.count:
            strings = _QuickStrings()
            strings.string_table = table
            strings._set_xml_writer(self._filename("xl/sharedStrings.xml"))
            strings._assemble_xml_file()


class _QuickStrings(SharedStrings):  # type: ignore[misc]
    def _write_sst_strings(self) -> None:
        for string in self.string_table.string_array:
            if _is_plain(string):
                self.fh.write(f"<si><t>{string}</t></si>")
            else:
                self._write_si(string)


def _is_plain(string: str) -> bool:
    """Whether a text stands in XML as it is: nothing to escape, no space at its ends, no line break."""
    return (
        string.isprintable()
        and string.strip() == string
        and not ("&" in string or "<" in string or ">" in string or "_x" in string)
        and string != ""
    )
