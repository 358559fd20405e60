using System.Collections;
using System.Reflection;
using LiteDB.Engine;

namespace KitMesh.Storage.LiteDb;

/// <summary>Lets go of an engine whose file failed, without taking the process down with it.</summary>
/// <remarks>
/// Trap (LiteDB 5.0.21): a transaction that could not be ended, because a page could not be written, throws again from its
/// finalizer, and an exception on the finalizer thread ends the process. A full disk would stop the hub. The library offers
/// no way to give a transaction up, so the transactions that its monitor still lists are told apart by reflection and
/// excused from finalization. They hold memory only; the file is deleted and refilled. The version of the library is pinned,
/// and a test fills a disk and collects the garbage.
/// </remarks>
internal static class BrokenEngine
{
    private const BindingFlags Private = BindingFlags.Instance | BindingFlags.NonPublic;
    private static readonly FieldInfo? Monitor = typeof(LiteEngine).GetField("_monitor", Private);

    /// <summary>Excuses every open transaction of an engine from finalization. To be called before the engine is disposed.</summary>
    public static void Disarm(LiteEngine engine)
    {
        object? monitor = Monitor?.GetValue(engine);
        if (monitor?.GetType().GetField("_transactions", Private)?.GetValue(monitor) is IDictionary transactions)
        {
            foreach (object transaction in transactions.Values)
            {
                GC.SuppressFinalize(transaction);
            }
        }
    }
}
