using KitMesh.Domain.Reports;

namespace KitMesh.Storage;

/// <summary>Reads the bytes of a report. Bytes that make no sense give an <see cref="UnknownBody"/>, never an exception.</summary>
/// <param name="raw">The original bytes.</param>
public delegate Report ReportDecoder(RawReport raw);
