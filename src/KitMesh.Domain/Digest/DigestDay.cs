using KitMesh.Domain.Quantities;

namespace KitMesh.Domain.Digest;

/// <summary>One civil day of the first bank, counted from the day on which the line was made.</summary>
/// <param name="ShortByThen">Chance that it ran short on or before this day.</param>
/// <param name="LowestP10">Lowest state of charge of the day, one path in ten below, in steps of a thirtieth.</param>
/// <param name="LowestP50">Its median, in the same steps.</param>
public sealed record DigestDay(Probability? ShortByThen, StateOfCharge? LowestP10, StateOfCharge? LowestP50);
