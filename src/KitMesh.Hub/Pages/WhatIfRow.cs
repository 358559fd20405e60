using KitMesh.Domain.Reports;

namespace KitMesh.Hub.Pages;

/// <summary>What a change does to one bank.</summary>
/// <param name="Bank">The bank.</param>
/// <param name="ShortNow">Chance of running short as things are, in words.</param>
/// <param name="ShortThen">The same with the change.</param>
/// <param name="AutonomyNow">How long it lasts without sun as things are, in words.</param>
/// <param name="AutonomyThen">The same with the change.</param>
/// <param name="LowestNow">Middle path's lowest charge to the last day, in words.</param>
/// <param name="LowestThen">The same with the change.</param>
public sealed record WhatIfRow(KitId Bank, string ShortNow, string ShortThen, string AutonomyNow, string AutonomyThen, string LowestNow, string LowestThen);
