"""Recalculates a spreadsheet in a LibreOffice that listens on a pipe, all formulas each time; prints the seconds of each time.

usage: recalculate.py PIPE FILE TIMES OUTPUT
"""

import sys
import time

import uno
from com.sun.star.beans import PropertyValue


def connect(pipe):
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    for _ in range(200):
        try:
            return resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
        except Exception:
            time.sleep(0.1)
    sys.exit("LibreOffice does not answer")


def hidden():
    value = PropertyValue()
    value.Name, value.Value = "Hidden", True
    return value


pipe, file, times, output = sys.argv[1:]
context = connect(pipe)
desktop = context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
document = desktop.loadComponentFromURL(uno.systemPathToFileUrl(file), "_blank", 0, (hidden(),))
document.calculateAll()
for _ in range(int(times)):
    start = time.perf_counter()
    document.calculateAll()
    print(time.perf_counter() - start)
sheet = document.Sheets.getByIndex(0)
cursor = sheet.createCursor()
cursor.gotoEndOfUsedArea(False)
column = sheet.getCellRangeByPosition(16, 0, 16, cursor.RangeAddress.EndRow)
with open(output, "w", encoding="utf-8") as found:
    for (value,) in column.getDataArray():
        if value != "":
            print(int(value), file=found)
document.close(True)
desktop.terminate()
