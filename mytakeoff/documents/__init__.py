"""Documents that are handed over: blocks of words set as PDF, page and sheet, and written together.

PDF is set by typst: of typst, fpdf2 and reportlab it alone tags what it writes (PDF/UA-1) and needs no other
package, and it sets a page in a tenth of a second under Apache-2.0 (fpdf2: LGPL-3.0; reportlab: BSD; neither
tagged the page that was tried). Its type comes with it: Libertinus Serif, under the SIL Open Font License.
"""
