using KitMesh.Domain.Results;

namespace KitMesh.Hub.Views;

/// <summary>Both sides of a trial, rolled with the same draws.</summary>
/// <param name="AsItIs">Without the change.</param>
/// <param name="Changed">With it.</param>
internal sealed record WhatIfAnswers(EnergyOutlook AsItIs, EnergyOutlook Changed);
