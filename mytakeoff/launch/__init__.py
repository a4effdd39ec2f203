"""Start a workbook: job folders, the JupyterLab and Voila servers, and which workbook may run by itself."""
