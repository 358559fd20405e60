using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using NodaTime;

namespace KitMesh.Domain.Results;

/// <summary>One copy, move or recheck, with what it costs and gains.</summary>
/// <param name="Kind">What to do.</param>
/// <param name="What">The whole instruction, such as "copy day 7 to drive C and put C into case 2".</param>
/// <param name="Drive">The drive concerned.</param>
/// <param name="Into">The case or carrier that it goes to; null when nothing moves.</param>
/// <param name="Day">The day whose clips are copied; null for a move or a recheck.</param>
/// <param name="Before">The chance of losing anything at all without it.</param>
/// <param name="After">The chance with it, after the moves ranked before it.</param>
/// <param name="Takes">How long it keeps the station busy.</param>
/// <param name="Energy">What it takes from the bank.</param>
/// <param name="Size">Bytes read or written.</param>
public sealed record FootageMove(
    FootageMoveKind Kind,
    string What,
    KitId Drive,
    KitId? Into,
    LocalDate? Day,
    ChanceRange Before,
    ChanceRange After,
    Duration Takes,
    WattHours Energy,
    ByteCount Size);
