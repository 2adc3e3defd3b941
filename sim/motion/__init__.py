"""Where everything is, exactly: frames, joints, chain, suspension, torque, Motion, solve."""
