namespace KitMesh.Footage.Ledger;

/// <summary>Clips that no query but one by clip, or by what a card still holds, can tell apart.</summary>
/// <param name="Day">Day number.</param>
/// <param name="Source">Place in the list of sources.</param>
/// <param name="Drives">Set of drives with a copy of any standing.</param>
/// <param name="Cards">Set of cards.</param>
/// <param name="MeetsRule">Whether they meet their rule.</param>
internal readonly record struct ClipGroup(int Day, int Source, int Drives, int Cards, bool MeetsRule);
