namespace KitMesh.Outlook.Charging;

/// <summary>Tonight's charging of one bank: which device on which outlet for how long.</summary>
/// <param name="Jobs">Devices, the most important first.</param>
/// <param name="Outlets">Outlets.</param>
/// <param name="Hours">Hours until the deadline.</param>
/// <param name="BudgetWh">Energy from the bank for everything but life-safety devices, which draw on the reserve kept for them.</param>
internal sealed record ChargeProblem(IReadOnlyList<ChargeJob> Jobs, IReadOnlyList<ChargeOutlet> Outlets, double Hours, double BudgetWh);
