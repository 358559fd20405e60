namespace KitMesh.Protocol.Certificates;

/// <summary>How long a certificate holds.</summary>
/// <param name="From">Not before.</param>
/// <param name="Until">Not after.</param>
public readonly record struct CertificateSpan(DateTimeOffset From, DateTimeOffset Until);
