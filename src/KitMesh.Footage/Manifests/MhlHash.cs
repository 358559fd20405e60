using NodaTime;

namespace KitMesh.Footage.Manifests;

/// <summary>One hash of one file in an ASC MHL manifest.</summary>
/// <param name="Format">One of <see cref="MhlManifest.Formats"/>.</param>
/// <param name="Value">The hash: hexadecimal, or base 58 for c4.</param>
/// <param name="Action">What it stands for; null where a manifest does not say.</param>
/// <param name="HashDate">When it was taken.</param>
public sealed record MhlHash(string Format, string Value, MhlAction? Action, Instant? HashDate);
