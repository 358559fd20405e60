using KitMesh.Devices.Modbus;

namespace KitMesh.Devices.PowerController;

// Problem: a SunSpec device holds any models in any order behind a marker at one of three places.
// Trap: offsets differ between devices, and between versions of one model; an unknown model may be in the middle.
// Method: find the marker, then go from header to header by the declared length; decode what is known, step over the
// rest, stop at the end id or at any sign that the list is broken. Bounded in models and in registers.
// Source: SunSpec Device Information Model Specification (marker, 40000/0/50000, model list, end model 0xFFFF).

/// <summary>Finds and reads the models of a SunSpec device.</summary>
internal sealed class SunSpecWalk(IModbusLink link)
{
    private const int MaxModels = 64;
    private const ushort EndId = 0xFFFF;

    private static readonly ushort[] Bases = [40000, 0, 50000];

    // A model list does not move while a device runs, so that later polls skip the search.
    private ushort? _base;
    private List<(ushort Id, ushort Address, ushort Length)>? _map;

    /// <summary>Reads every known model once.</summary>
    /// <returns>The blocks, or why there are none.</returns>
    public async Task<(IReadOnlyList<SunSpecBlock> Blocks, ModbusAnswer? Failure)> ReadAsync(CancellationToken stop)
    {
        if (_map is null && await FindAsync(stop).ConfigureAwait(false) is { } failure)
        {
            return ([], failure);
        }

        var blocks = new List<SunSpecBlock>();
        foreach ((ushort id, ushort address, ushort length) in _map!)
        {
            if (!SunSpecModel.Known.TryGetValue(id, out SunSpecModel? model))
            {
                continue;
            }

            (ushort[] registers, ModbusAnswer? broken) = await ReadManyAsync(address, length + 2, stop).ConfigureAwait(false);
            broken ??= registers[0] == id && registers[1] == length ? null : new ModbusAnswer.Garbled("a model is no longer where it was", Bytes(registers.AsSpan(0, 2)));
            if (broken is not null)
            {
                Forget(broken);
                return ([], broken);
            }

            blocks.Add(new SunSpecBlock(model, registers));
        }

        return (blocks, null);
    }

    private async Task<ModbusAnswer?> FindAsync(CancellationToken stop)
    {
        ModbusAnswer? last = null;
        foreach (ushort start in _base is { } known ? [known] : Bases)
        {
            ModbusAnswer answer = await link.ReadAsync(RegisterTable.Holding, start, 2, stop).ConfigureAwait(false);
            if (answer is ModbusAnswer.Registers { Values: [0x5375, 0x6E53] })
            {
                _base = start;
                return await WalkAsync(start + 2, stop).ConfigureAwait(false);
            }

            last = answer is ModbusAnswer.Registers other
                ? new ModbusAnswer.Garbled($"no SunSpec marker at registers {string.Join(", ", Bases)}", Bytes([.. other.Values]))
                : answer;
            if (answer is ModbusAnswer.Unreachable)
            {
                return last;
            }
        }

        return last;
    }

    private async Task<ModbusAnswer?> WalkAsync(int address, CancellationToken stop)
    {
        var map = new List<(ushort Id, ushort Address, ushort Length)>();
        for (int models = 0; models < MaxModels; models++)
        {
            if (address + 2 > 65536)
            {
                return new ModbusAnswer.Garbled("the model list runs past the last register", []);
            }

            ModbusAnswer answer = await link.ReadAsync(RegisterTable.Holding, (ushort)address, 2, stop).ConfigureAwait(false);
            if (answer is not ModbusAnswer.Registers header)
            {
                return answer;
            }

            if (header.Values[0] == EndId)
            {
                _map = map;
                return null;
            }

            map.Add((header.Values[0], (ushort)address, header.Values[1]));
            address += 2 + header.Values[1];
        }

        return new ModbusAnswer.Garbled($"the model list has no end within {MaxModels} models", []);
    }

    private async Task<(ushort[] Registers, ModbusAnswer? Failure)> ReadManyAsync(int address, int count, CancellationToken stop)
    {
        if (address + count > 65536)
        {
            return ([], new ModbusAnswer.Garbled("a model runs past the last register", []));
        }

        var registers = new ushort[count];
        for (int done = 0; done < count;)
        {
            int part = Math.Min(ModbusPdu.MaxRegisters, count - done);
            ModbusAnswer answer = await link.ReadAsync(RegisterTable.Holding, (ushort)(address + done), part, stop).ConfigureAwait(false);
            if (answer is not ModbusAnswer.Registers read)
            {
                return ([], answer);
            }

            for (int i = 0; i < part; i++)
            {
                registers[done + i] = read.Values[i];
            }

            done += part;
        }

        return (registers, null);
    }

    // After a silence the same map is tried again; after nonsense the device may have been swapped.
    private void Forget(ModbusAnswer failure)
    {
        if (failure is ModbusAnswer.Garbled or ModbusAnswer.Refused)
        {
            _map = null;
            _base = null;
        }
    }

    private static byte[] Bytes(ReadOnlySpan<ushort> registers)
    {
        var bytes = new byte[registers.Length * 2];
        for (int i = 0; i < registers.Length; i++)
        {
            bytes[2 * i] = (byte)(registers[i] >> 8);
            bytes[(2 * i) + 1] = (byte)registers[i];
        }

        return bytes;
    }
}
